//! The written forms of an audited inventory.
//!
//! Holds: the summary ([`Summary`]) with its table and JSON, and the lists of findings as CSV, JSON
//! Lines, workbook and SARIF. Findings are worded one after the other ([`gather`]) and handed to every
//! list that was asked for, so that a million of them need no memory.
//! Start reading at [`gather::gather`].

mod csv;
mod escaped;
mod explain;
mod fixes;
pub mod gather;
mod json;
mod jsonl;
pub mod reinterpreted;
pub mod safe;
mod sarif;
mod table;
mod tally;
mod xlsx;

pub use csv::CsvList;
pub use explain::explain;
pub use fixes::Fix;
pub use json::JsonReport;
pub use jsonl::JsonLines;
pub use sarif::Sarif;
pub use table::write as write_table;
pub use tally::{RuleCount, SiteCount, Tally};
pub use xlsx::Workbook;

use std::io;

use crate::audit::claims::Matched;
use crate::audit::run::NotChecked;
use crate::audit::wording::Worded;
use crate::read::inventory::load::LeftOut;
use crate::tables::Trust;

/// A finding with what earlier runs and people said of it.
#[derive(Debug, Clone)]
pub struct Listed {
    /// The finding.
    pub finding: Worded,
    /// Accepted until when, by whom and why; empty where it is not.
    pub accepted: String,
    /// Whether the last run did not have it; `None` without a last run.
    pub new: Option<bool>,
}

impl Listed {
    /// The texts before the line, in the order of the heads of every list.
    fn texts(&self) -> [&str; 9] {
        let finding = &self.finding;
        [
            &finding.id,
            finding.severity.word(),
            finding.rule.id,
            &finding.site,
            &finding.subject,
            &finding.other,
            &finding.message,
            &finding.hint,
            &finding.file,
        ]
    }

    /// What was accepted, now or once.
    fn acceptance(&self) -> &str {
        if self.accepted.is_empty() { &self.finding.once_accepted } else { &self.accepted }
    }
}

/// A suggested change of a far end.
#[derive(Debug, Clone)]
pub struct EditRow {
    /// The port.
    pub subject: String,
    /// File.
    pub file: String,
    /// Line.
    pub line: u64,
    /// The far end as it is written.
    pub from: String,
    /// The far end as it should be; empty = none.
    pub to: String,
}

/// A way in which cells were read as something else than they say.
#[derive(Debug, Clone)]
pub struct TurnRow {
    /// The column.
    pub column: &'static str,
    /// In which way.
    pub how: &'static str,
    /// How many cells.
    pub cells: u64,
    /// The first of them as written.
    pub example: String,
    /// File of the first.
    pub file: String,
    /// Line of the first.
    pub line: u64,
}

/// A head that is not used because another one of its file means the same.
#[derive(Debug, Clone)]
pub struct NotUsed {
    /// The file.
    pub file: String,
    /// The head as written.
    pub head: String,
    /// Which cell of the line of heads it is, from 1.
    pub cell: usize,
    /// The column that it would mean.
    pub column: &'static str,
    /// The head that has the column.
    pub used: String,
}

/// What changed since the last run.
#[derive(Debug, Clone, Default)]
pub struct Since {
    /// Findings that the last run did not have.
    pub new: u64,
    /// Findings that both have.
    pub unchanged: u64,
    /// Findings that only the last run had: id, rule, port, message.
    pub gone: Vec<[String; 4]>,
}

/// All that is said of an inventory but for the list of findings.
#[derive(Debug, Clone, Default)]
pub struct Summary {
    /// Files with what had to be done to them.
    pub files: Vec<(String, String)>,
    /// Inputs and sheets that were not read.
    pub left_out: Vec<LeftOut>,
    /// Heads that are not used because another one means the same.
    pub not_used: Vec<NotUsed>,
    /// Rows.
    pub rows: u64,
    /// Lines left out.
    pub skipped: u64,
    /// How the far ends stand.
    pub matched: Matched,
    /// Counts of findings.
    pub tally: Tally,
    /// The most valuable fixes.
    pub fixes: Vec<Fix>,
    /// How many changes of far ends would make all claims agree.
    pub edit_count: u64,
    /// The changes.
    pub edits: Vec<EditRow>,
    /// Reinterpretations.
    pub turns: Vec<TurnRow>,
    /// What was not checked.
    pub not_checked: Vec<NotChecked>,
    /// What changed since the last run.
    pub since: Option<Since>,
    /// The day of judgement as written; empty = none was given.
    pub date: String,
    /// Cells of reference tables that the ports are judged by.
    pub trust: Trust,
}

/// A list of findings that is being written.
pub trait List {
    /// Takes one finding.
    ///
    /// # Errors
    /// Whatever the writer says.
    fn add(&mut self, listed: &Listed) -> io::Result<()>;

    /// Ends the list.
    ///
    /// # Errors
    /// Whatever the writer says.
    fn finish(self: Box<Self>, summary: &Summary) -> io::Result<()>;
}
