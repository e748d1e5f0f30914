//! What a module says of itself, what does not add up, and the cautions.
//!
//! [`Module`] is the one value; `table`, `json` and `csv` are its faces.

mod csv;
mod facts;
mod json;
mod table;

pub use csv::write as write_csv;
pub use json::write as write_json;
pub use table::write as write_table;

use crate::check::{Finding, Severity};
use crate::fit::memory::{Memory, Suggestion};
use crate::place::Files;

/// A decoded memory and what is to be said of it.
#[derive(Debug, Clone, Copy)]
pub struct Module<'a> {
    /// The memory.
    pub memory: &'a Memory,
    /// Interface types that its codes name.
    pub interfaces: &'a [Suggestion],
    /// Findings, sorted.
    pub findings: &'a [Finding],
    /// Names of the files, for places.
    pub files: &'a Files,
    /// Columns the terminal has.
    pub width: usize,
}

impl Module<'_> {
    /// Whether any finding is an error: exit code 1.
    pub fn has_errors(&self) -> bool {
        self.findings.iter().any(|finding| finding.severity == Severity::Error)
    }
}
