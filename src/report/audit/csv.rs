//! Findings as CSV: one row each.

use std::io::{self, Write};

use super::{List, Listed, Summary, safe};

const HEADS: [&str; 13] = [
    "id",
    "severity",
    "rule",
    "site",
    "port",
    "other_port",
    "message",
    "to_do",
    "file",
    "line",
    "status",
    "accepted",
    "source",
];

/// A list of findings as CSV.
pub struct CsvList<W: Write> {
    writer: csv::Writer<W>,
}

impl<W: Write> CsvList<W> {
    /// Writes the heads.
    ///
    /// # Errors
    /// Whatever the writer says.
    pub fn new(out: W) -> io::Result<Self> {
        let mut writer = csv::Writer::from_writer(out);
        writer.write_record(HEADS)?;
        Ok(Self { writer })
    }
}

/// `new`, `known` or nothing.
pub(super) fn status(listed: &Listed) -> &'static str {
    match listed.new {
        Some(true) => "new",
        Some(false) => "known",
        None => "",
    }
}

impl<W: Write> List for CsvList<W> {
    fn add(&mut self, listed: &Listed) -> io::Result<()> {
        let finding = &listed.finding;
        let line = finding.line.to_string();
        let line = if finding.line == 0 { "" } else { &line };
        let rest = [line, status(listed), listed.acceptance(), finding.rule.source];
        let cells = listed.texts().into_iter().chain(rest);
        self.writer.write_record(cells.map(|cell| safe::text(cell).into_owned()))?;
        Ok(())
    }

    fn finish(mut self: Box<Self>, _: &Summary) -> io::Result<()> {
        self.writer.flush()
    }
}
