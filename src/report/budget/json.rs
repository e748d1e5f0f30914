//! The machine's face: one JSON document of a stable shape.

use std::io::{self, Write};

use serde::Serialize;
use serde::ser::{SerializeMap, SerializeSeq, Serializer};

use super::detail::PathRow;
use super::rows::{Counts, EndRow, LinkRow, PonRow, SpareLegsRow};
use super::{Budget, summary};
use crate::budget::GroupKind;
use crate::check::Finding;
use crate::engine::rests::Rests;
use crate::place::Files;
use crate::report::trust::TrustRow;

/// The version of the shape. It rises when a field changes its meaning or goes; new fields do not
/// change it.
const SHAPE_VERSION: u32 = 1;

/// A finding as JSON carries it.
#[derive(Debug, Serialize)]
pub(crate) struct FindingRow<'a> {
    rule: &'static str,
    severity: &'static str,
    place: String,
    subject: &'a str,
    message: &'a str,
    hint: &'a str,
    why: &'static str,
    remedy: &'static str,
}

impl<'a> FindingRow<'a> {
    pub(crate) fn of(finding: &'a Finding, files: &Files) -> Self {
        Self {
            rule: finding.rule.id,
            severity: finding.severity.word(),
            place: files.describe(finding.origin),
            subject: &finding.subject,
            message: &finding.message,
            hint: &finding.hint,
            why: finding.rule.why,
            remedy: finding.rule.remedy,
        }
    }
}

/// A finding with what of the plan it speaks of: all of it, however many findings a table shows as one.
#[derive(Serialize)]
struct PlanFindingRow<'a> {
    #[serde(flatten)]
    finding: FindingRow<'a>,
    about: AboutRow<'a>,
}

/// What of a plan a finding speaks of.
#[derive(Serialize)]
struct AboutRow<'a> {
    ports: Vec<&'a str>,
    ends: Vec<AboutEnd<'a>>,
    points: Vec<String>,
}

/// An end by its ports and wavelength.
#[derive(Serialize)]
struct AboutEnd<'a> {
    from: &'a str,
    to: &'a str,
    wavelength_nm: f64,
}

impl<'a> PlanFindingRow<'a> {
    fn of(budget: &Budget<'a>, finding: &'a Finding) -> Self {
        let view = budget.view;
        let end = |index: &u32| {
            let end = &view.assessment.ends[*index as usize];
            AboutEnd {
                from: view.port_name(end.transmitter),
                to: view.port_name(end.receiver),
                wavelength_nm: view.assessment.pair(end).band.nominal.value(),
            }
        };
        let about = AboutRow {
            ports: finding.about.ports.iter().map(|port| view.port_name(*port)).collect(),
            ends: finding.about.ends.iter().map(end).collect(),
            points: finding.about.points.iter().map(|point| view.plan.point_name(*point)).collect(),
        };
        Self { finding: FindingRow::of(finding, budget.files), about }
    }
}

/// Writes the whole document. Ends are written one by one: a plan of a million ends needs no second
/// copy in memory.
///
/// # Errors
/// Whatever the writer says.
pub fn write(budget: &Budget<'_>, out: &mut impl Write) -> io::Result<()> {
    let mut json = serde_json::Serializer::pretty(&mut *out);
    document(budget, &mut json).map_err(io::Error::from)?;
    writeln!(out)
}

fn document<S: Serializer>(budget: &Budget<'_>, json: S) -> Result<S::Ok, S::Error> {
    let view = budget.view;
    let mut map = json.serialize_map(None)?;
    map.serialize_entry("shape", "spanwright.budget")?;
    map.serialize_entry("version", &SHAPE_VERSION)?;
    map.serialize_entry("title", &view.plan.title)?;
    map.serialize_entry("revision", &view.plan.revision)?;
    map.serialize_entry("verdict", &view.assessment.standing.verdict.map(crate::budget::Verdict::word))?;
    map.serialize_entry("reserve_db", &view.plan.assumptions.reserve.value())?;
    map.serialize_entry("counts", &Counts::of(view))?;
    map.serialize_entry("against", &view.assessment.standing.against)?;
    map.serialize_entry(
        "ends",
        &Each(|| view.assessment.ends.iter().map(move |end| EndRow::of(view, end))),
    )?;
    let pons = || view.assessment.groups.iter().filter(|group| group.kind == GroupKind::Pon);
    map.serialize_entry("pons", &Each(|| pons().map(move |group| PonRow::of(view, group))))?;
    let links = || view.assessment.groups.iter().filter(|group| group.kind == GroupKind::Link);
    map.serialize_entry("links", &Each(|| links().map(move |group| LinkRow::of(view, group))))?;
    let spare: Vec<SpareLegsRow<'_>> =
        budget.spare_legs.iter().map(|legs| SpareLegsRow::of(view, legs)).collect();
    map.serialize_entry("spare_legs", &spare)?;
    let findings = || budget.findings.iter();
    map.serialize_entry("findings", &Each(|| findings().map(|one| PlanFindingRow::of(budget, one))))?;
    map.serialize_entry("assumptions", &summary::assumptions(view))?;
    let rests = Rests::of_plan(view);
    map.serialize_entry("rests_on", &TrustRow::of(rests.trust()))?;
    map.serialize_entry("tables_used", &summary::tables_used(&rests, budget.files))?;
    let paths: Vec<PathRow<'_>> =
        budget.details.iter().map(|detail| PathRow::of(budget, detail)).collect();
    map.serialize_entry("paths", &paths)?;
    map.serialize_entry("hazards", &super::detail::hazard_rows(budget))?;
    map.serialize_entry("cautions", &[crate::report::cautions::LIGHT, crate::report::cautions::SHELF])?;
    map.end()
}

/// A sequence that is made while it is written.
struct Each<F>(F);

impl<F, I> Serialize for Each<F>
where
    F: Fn() -> I,
    I: Iterator,
    I::Item: Serialize,
{
    fn serialize<S: Serializer>(&self, json: S) -> Result<S::Ok, S::Error> {
        let mut sequence = json.serialize_seq(None)?;
        for item in (self.0)() {
            sequence.serialize_element(&item)?;
        }
        sequence.end()
    }
}
