//! The written forms of a judged plan.
//!
//! [`Budget`] is the one value; `table`, `json` and `csv` are its faces. Numbers are the engine's
//! own: losses are shown rounded up, margins rounded down, and written unrounded for machines.

mod csv;
mod detail;
mod json;
mod rows;
mod summary;
mod table;

pub(crate) use csv::as_text;
pub use csv::write as write_csv;
pub(crate) use json::FindingRow;
pub use json::write as write_json;
pub(crate) use rows::premises_port;
pub use rows::{EndRow, PonRow};
pub use summary::TableRow;
pub(crate) use summary::{assumptions, counts, reason, tables_used};
pub use table::write as write_table;

use crate::budget::{Detail, Hazard};
use crate::check::view::View;
use crate::check::{Finding, Severity};
use crate::place::Files;

/// A judged plan and what is to be said of it.
pub struct Budget<'a> {
    /// The plan, its graph, the tables, the judgement.
    pub view: View<'a>,
    /// Findings, sorted.
    pub findings: &'a [Finding],
    /// Names of the files, for places.
    pub files: &'a Files,
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
    /// Whether any finding is an error: exit code 1.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity == Severity::Error)
    }
}
