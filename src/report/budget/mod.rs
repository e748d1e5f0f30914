//! The written forms of a judged plan.
//!
//! [`Budget`] is the one value; `table`, `json` and `csv` are its faces. Numbers are the engine's
//! own: losses are shown rounded up, margins rounded down, and written unrounded for machines.

mod csv;
mod detail;
mod groups;
mod json;
mod rows;
mod summary;
mod table;

pub(crate) use csv::as_text;
pub use csv::write as write_csv;
pub(crate) use json::FindingRow;
pub use json::write as write_json;
pub use rows::{Counts, EndRow, LinkRow, PonRow, SpareLegsRow};
pub(crate) use rows::{premises_port, why_of};
pub use summary::TableRow;
pub(crate) use summary::{assumptions, counted, reason, tables_used, unjudged};
pub use table::write as write_table;

use crate::budget::{Detail, Hazard, Verdict};
use crate::check::view::View;
use crate::check::{Finding, Severity};
use crate::engine::SpareLegs;
use crate::place::Files;

/// A judged plan and what is to be said of it.
pub struct Budget<'a> {
    /// The plan, its graph, the tables, the judgement.
    pub view: View<'a>,
    /// Findings, sorted.
    pub findings: &'a [Finding],
    /// Names of the files, for places.
    pub files: &'a Files,
    /// Spare legs of splitters, where the plan assumes an optic for them.
    pub spare_legs: &'a [SpareLegs],
    /// The brightest open connectors.
    pub hazards: &'a [Hazard],
    /// Paths that were asked for element by element.
    pub details: &'a [Detail],
    /// How many ends a table shows at most; `None` = all.
    pub most_ends: Option<usize>,
    /// Columns the terminal has.
    pub width: usize,
}

impl Budget<'_> {
    /// Whether anything fails or cannot be judged: an error among the findings, or a whole that is neither
    /// a pass nor marginal. Exit code 1.
    pub fn has_errors(&self) -> bool {
        let sound = [Some(Verdict::Pass), Some(Verdict::Marginal)];
        !sound.contains(&self.view.assessment.standing.verdict)
            || self.findings.iter().any(|finding| finding.severity == Severity::Error)
    }
}
