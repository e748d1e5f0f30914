//! Sentences about a judged plan that all faces share.

use std::collections::BTreeMap;

use serde::Serialize;

use crate::budget::{End, Reason, Verdict};
use crate::check::view::View;
use crate::place::Files;
use crate::plan::{EndConnectors, JointKind};
use crate::tables::{Family, RowId, Table};

/// A table row that a result rests on.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct TableRow {
    /// The table.
    pub table: &'static str,
    /// The row's key.
    pub row: String,
    /// The document behind it.
    pub source: String,
    /// How far it can be trusted.
    pub provenance: &'static str,
    /// `built in`, or the user's file.
    pub file: String,
}

/// Why an end has its verdict, and what else speaks against it.
pub fn reason(view: View<'_>, end: &End) -> String {
    let mut said = vec![main_reason(view, end)];
    let also = [
        (view.lacks(end) == Some(true), "more is lost than the optics allow"),
        (view.lacks(end) == Some(false), "only the statistical case closes"),
        (view.overloads(end), "too much light may arrive"),
        (end.against.dispersion, "too much chromatic dispersion"),
        (end.against.beyond_reach, "longer than specified"),
        (end.against.receiver_band, "the wavelength is outside the receiver's range"),
    ];
    for (holds, words) in also {
        if holds && !said[0].starts_with(words) {
            said.push(words.to_string());
        }
    }
    said.join("; ")
}

fn main_reason(view: View<'_>, end: &End) -> String {
    let single_fiber = view.assessment.pair(end).single_fiber;
    let plain = match end.reason {
        Reason::Closes => "the worst case closes",
        Reason::ReserveNotKept => "the worst case closes, the reserve is not kept",
        Reason::OnlyStatistically => "only the statistical case closes",
        Reason::OverLoss => "more is lost than the optics allow",
        Reason::TooMuchLight => "too much light may arrive",
        Reason::BeyondReach => "longer than specified",
        Reason::Dispersion => "too much chromatic dispersion",
        Reason::FiberKind => "the optics are made for another kind of fiber",
        Reason::NotAtConfidence => "the sum closes, the loss at the asked confidence does not",
        Reason::ReceiverBand if single_fiber => {
            "the wavelength is outside the receiver's range, which is filtered"
        }
        Reason::ReceiverBand => {
            "the wavelength is outside the receiver's range: no standard says whether it serves"
        }
        Reason::Blocked => "a wdm element does not pass the wavelength",
        _ => return view.missing_words(end),
    };
    plain.to_string()
}

/// How many ends have each verdict: `30 pass, 2 fail`.
pub fn counts(view: View<'_>) -> Vec<(Verdict, usize)> {
    Verdict::ALL
        .into_iter()
        .map(|verdict| {
            let ends = view.assessment.ends.iter();
            (verdict, ends.filter(|end| end.verdict == verdict).count())
        })
        .filter(|(_, count)| *count > 0)
        .collect()
}

/// What the result assumes, a line each.
pub fn assumptions(view: View<'_>) -> Vec<String> {
    let plan = view.plan;
    let given = &plan.assumptions;
    let mut lines = vec![
        match given.end_connectors {
            EndConnectors::Excluded => {
                "connectors at the equipment are not counted (ITU-T counts from S/R to R/S)"
            }
            EndConnectors::Counted => "connectors at the equipment are counted as joints of the plant",
        }
        .to_string(),
        format!("design reserve {}", given.reserve),
        format!("confidence {}", given.confidence),
        "losses are taken at the nominal wavelength; dispersion at the window's worst edge".to_string(),
        "fiber loss between tabulated wavelengths follows a spectral model: an estimate, not a limit"
            .to_string(),
        "worst case: for a connector the loss that 97 % of matings keep; return loss with mean losses"
            .to_string(),
        "launch, sensitivity and penalty at their worst values; the plant statistical".to_string(),
        "elements are independent of each other; one element at two wavelengths is not".to_string(),
    ];
    let allowances = &given.allowances;
    lines.push(allowances.repair.map_or_else(
        || "no repair splices allowed for".to_string(),
        |repair| {
            let (splices, per) = (repair.splices, repair.per);
            format!("{splices} repair splices for each begun {per} outside; none on the first day")
        },
    ));
    lines.push(format!("ageing {}, temperature {}", allowances.ageing, allowances.temperature));
    lines
}

/// Every table row that the plan's elements and optics rest on.
pub fn tables_used(view: View<'_>, files: &Files) -> Vec<TableRow> {
    let tables = view.tables;
    let mut used = Used { files, rows: BTreeMap::new() };
    for kind in &view.plan.joint_kinds {
        match kind {
            JointKind::Connector { grade, .. } => used.find(&tables.connectors, grade),
            JointKind::Splice(splice) => used.find(&tables.splices, splice),
            JointKind::None => {}
        }
    }
    let mut splitters: Vec<&str> = view.plan.splitters.iter().map(|device| &*device.kind).collect();
    splitters.sort_unstable();
    splitters.dedup();
    splitters.iter().for_each(|kind| used.find(&tables.splitters, kind));
    view.plan.taps.iter().for_each(|device| used.find(&tables.taps, &device.kind));
    for optic in view.assessment.pairs.optics.iter().filter_map(|used| used.optic.as_ref()) {
        match optic.family {
            Family::Pon(id) => used.add(&tables.pon_classes, id),
            Family::Interface(id) => used.add(&tables.interfaces, id),
        }
    }
    used.at_wavelengths(view);
    used.rows.into_values().collect()
}

/// Rows gathered by table and place in it.
struct Used<'f> {
    files: &'f Files,
    rows: BTreeMap<(&'static str, u32), TableRow>,
}

impl Used<'_> {
    fn find<T>(&mut self, table: &Table<T>, name: &str) {
        if let Some(id) = table.find(name) {
            self.add(table, id);
        }
    }

    fn add<T>(&mut self, table: &Table<T>, id: RowId) {
        let row = table.row(id);
        let files = self.files;
        self.rows.entry((table.name, id.0)).or_insert_with(|| TableRow {
            table: table.name,
            row: row.key.clone(),
            source: row.source.clone(),
            provenance: row.provenance.word(),
            file: files.describe(row.origin),
        });
    }

    /// Attenuation points and wdm legs at the wavelengths in use.
    fn at_wavelengths(&mut self, view: View<'_>) {
        let tables = view.tables;
        for band in &view.assessment.pairs.bands {
            for fiber in &view.plan.fibers {
                let name = tables.fibers.get(fiber).map_or(fiber.as_str(), |row| row.key.as_str());
                if let Some((_, ids)) = tables.attenuations.at(name, band.nominal) {
                    ids.into_iter().for_each(|id| self.add(&tables.attenuation, id));
                }
            }
            for device in &view.plan.wdm_elements {
                let rows = tables.wdm_elements.rows().iter().enumerate();
                let passes = rows.filter(|(_, row)| {
                    row.value.element.eq_ignore_ascii_case(&device.kind) && band.within(row.value.band)
                });
                let ids: Vec<RowId> = passes.map(|(index, _)| RowId(index as u32)).collect();
                ids.into_iter().for_each(|id| self.add(&tables.wdm_elements, id));
            }
        }
    }
}
