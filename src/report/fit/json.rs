//! The machine's face: one JSON document of a stable shape.

use std::io::{self, Write};

use serde::Serialize;

use super::{FitReport, words};
use crate::budget::Verdict;
use crate::engine::alternatives::Alternative;
use crate::engine::pads::PadAdvice;
use crate::fit::pad::Pad;
use crate::report::budget::{EndRow, FindingRow, TableRow, tables_used};
use crate::report::cautions;
use crate::report::trust::TrustRow;
use crate::units::Decibels;

/// The version of the shape. It rises when a field changes its meaning or goes; new fields do not
/// change it.
const SHAPE_VERSION: u32 = 1;

#[derive(Serialize)]
struct Document<'a> {
    shape: &'static str,
    version: u32,
    #[serde(flatten)]
    answer: AnswerRow<'a>,
    pads: Vec<PadRow>,
    alternatives: Vec<AlternativeRow<'a>>,
    /// What has to be mended whatever the optic, or why nothing is proposed.
    alternatives_note: &'a str,
    assumed: &'a [String],
    rests_on: TrustRow,
    tables_used: Vec<TableRow>,
    cautions: [&'static str; 2],
}

/// The answer for one port.
#[derive(Serialize)]
pub(super) struct AnswerRow<'a> {
    /// `GO`, `NO-GO`, `CANNOT JUDGE`.
    pub(super) go: &'static str,
    pub(super) port: &'a str,
    pub(super) what: String,
    pub(super) because: &'a str,
    pub(super) light: Option<&'static str>,
    ends: Vec<EndRow<'a>>,
    findings: Vec<FindingRow<'a>>,
    not_checked: Vec<GapRow<'a>>,
}

#[derive(Serialize)]
struct GapRow<'a> {
    datum: &'static str,
    of: &'a [String],
    rules: &'a [&'static str],
}

#[derive(Serialize)]
struct PadRow {
    place: String,
    pad_db: Option<f64>,
    tolerance_db: Option<f64>,
    headroom_db: Option<f64>,
    margin_db: Option<f64>,
    says: String,
}

#[derive(Serialize)]
struct AlternativeRow<'a> {
    near: &'a str,
    far: &'a str,
    changes: u32,
    closes: bool,
    marginal: bool,
    margin_out_db: Option<f64>,
    margin_in_db: Option<f64>,
    headroom_out_db: Option<f64>,
    headroom_in_db: Option<f64>,
    /// Another part of the same optic, and pads; empty where the optics are all that changes.
    with: String,
}

/// Writes the answer for one port.
///
/// # Errors
/// Whatever the writer says.
pub fn write(report: &FitReport<'_>, out: &mut impl Write) -> io::Result<()> {
    let rests = report.rests();
    let document = Document {
        shape: "spanwright.fit",
        version: SHAPE_VERSION,
        answer: AnswerRow::of(report),
        pads: report.pads.iter().map(|advice| pad(report, advice)).collect(),
        alternatives: report
            .alternatives
            .found
            .iter()
            .map(|one| alternative(one, words::with(report, one)))
            .collect(),
        alternatives_note: &report.alternatives.note,
        assumed: report.assumed,
        rests_on: TrustRow::of(rests.trust()),
        tables_used: tables_used(&rests, report.files),
        cautions: [cautions::SHELF, cautions::LIGHT],
    };
    serde_json::to_writer_pretty(&mut *out, &document)?;
    writeln!(out)
}

impl<'a> AnswerRow<'a> {
    pub(super) fn of(report: &FitReport<'a>) -> Self {
        let answer = report.answer;
        let view = report.view;
        let end = |index: &usize| EndRow::of(view, &view.assessment.ends[*index]);
        let gap = |gap: &'a crate::engine::fit::NotChecked| GapRow {
            datum: gap.datum,
            of: &gap.of,
            rules: &gap.rules,
        };
        Self {
            go: answer.go.words(),
            port: view.port_name(answer.port),
            what: words::what(report),
            because: &answer.because,
            light: answer.light.map(Verdict::word),
            ends: answer.ends.iter().map(end).collect(),
            findings: answer.findings.iter().map(|one| FindingRow::of(one, report.files)).collect(),
            not_checked: answer.not_checked.iter().map(gap).collect(),
        }
    }
}

fn db(value: Decibels) -> f64 {
    (value.value() * 1e6).round() / 1e6 + 0.0
}

fn pad(report: &FitReport<'_>, advice: &PadAdvice) -> PadRow {
    let says = words::pad(report, advice);
    let place = words::place(report, &advice.place);
    let none =
        PadRow { place, pad_db: None, tolerance_db: None, headroom_db: None, margin_db: None, says };
    match &advice.pad {
        Pad::Use { pad, headroom, margin } => PadRow {
            pad_db: Some(db(pad.value)),
            tolerance_db: Some(db(pad.tolerance)),
            headroom_db: Some(db(*headroom)),
            margin_db: Some(db(*margin)),
            ..none
        },
        _ => none,
    }
}

fn alternative(one: &Alternative, with: String) -> AlternativeRow<'_> {
    let [margin_out, margin_in] = one.margin.map(|margin| margin.map(db));
    let [headroom_out, headroom_in] = one.headroom.map(|headroom| headroom.map(db));
    AlternativeRow {
        near: &one.near,
        far: &one.far,
        changes: one.changes,
        closes: one.closes,
        marginal: one.marginal,
        margin_out_db: margin_out,
        margin_in_db: margin_in,
        headroom_out_db: headroom_out,
        headroom_in_db: headroom_in,
        with,
    }
}
