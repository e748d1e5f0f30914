//! Findings as JSON Lines: one object each.

use std::io::{self, Write};

use serde::Serialize;

use super::csv::status;
use super::escaped::Escaped;
use super::{List, Listed, Summary};

/// A finding as JSON carries it.
#[derive(Debug, Serialize)]
pub(super) struct FindingRow<'a> {
    id: &'a str,
    severity: &'static str,
    rule: &'static str,
    site: &'a str,
    subject: &'a str,
    other: &'a str,
    message: &'a str,
    to_do: &'a str,
    file: &'a str,
    line: Option<u64>,
    #[serde(skip_serializing_if = "str::is_empty")]
    status: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    accepted: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    once_accepted: &'a str,
}

impl<'a> FindingRow<'a> {
    pub(super) fn of(listed: &'a Listed) -> Self {
        let finding = &listed.finding;
        Self {
            id: &finding.id,
            severity: finding.severity.word(),
            rule: finding.rule.id,
            site: &finding.site,
            subject: &finding.subject,
            other: &finding.other,
            message: &finding.message,
            to_do: &finding.hint,
            file: &finding.file,
            line: (finding.line > 0).then_some(finding.line),
            status: status(listed),
            accepted: &listed.accepted,
            once_accepted: &finding.once_accepted,
        }
    }
}

/// A list of findings as JSON Lines.
pub struct JsonLines<W: Write> {
    out: Escaped<W>,
}

impl<W: Write> JsonLines<W> {
    /// A list that is still empty.
    pub fn new(out: W) -> Self {
        Self { out: Escaped::new(out) }
    }
}

impl<W: Write> List for JsonLines<W> {
    fn add(&mut self, listed: &Listed) -> io::Result<()> {
        serde_json::to_writer(&mut self.out, &FindingRow::of(listed))?;
        self.out.write_all(b"\n")
    }

    fn finish(mut self: Box<Self>, _: &Summary) -> io::Result<()> {
        self.out.flush()
    }
}
