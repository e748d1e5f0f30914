//! Findings as SARIF 2.1.0 (OASIS), for tools that show the results of checkers.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::escaped::Escaped;
use super::{List, Listed, Summary};
use crate::check::{Severity, registry};
use crate::read::inventory::SHEET;

/// The schema of the log (OASIS, SARIF 2.1.0, section 3.13.3; address from memory).
const SCHEMA: &str =
    "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json";

/// A list of findings as SARIF.
pub struct Sarif<W: Write> {
    out: Escaped<W>,
    any: bool,
}

impl<W: Write> Sarif<W> {
    /// Begins the log with every rule, so that a result can point at its rule by number.
    ///
    /// # Errors
    /// Whatever the writer says.
    pub fn new(mut out: W) -> io::Result<Self> {
        let rules: Vec<Value> = registry::ALL
            .iter()
            .map(|rule| {
                json!({
                    "id": rule.id,
                    "shortDescription": {"text": rule.what},
                    "fullDescription": {"text": rule.why},
                    "help": {"text": rule.remedy},
                    "defaultConfiguration": {"level": rule.severity.word()},
                })
            })
            .collect();
        let driver = json!({"name": "Spanwright", "version": env!("CARGO_PKG_VERSION"), "rules": rules});
        write!(
            out,
            "{{\"$schema\":\"{SCHEMA}\",\"version\":\"2.1.0\",\"runs\":[{{\"tool\":{{\"driver\":{driver}}},\"results\":["
        )?;
        Ok(Self { out: Escaped::new(out), any: false })
    }
}

impl<W: Write> List for Sarif<W> {
    fn add(&mut self, listed: &Listed) -> io::Result<()> {
        self.out.write_all(if self.any { b",\n" } else { b"\n" })?;
        self.any = true;
        serde_json::to_writer(&mut self.out, &result(listed))?;
        Ok(())
    }

    fn finish(mut self: Box<Self>, _: &Summary) -> io::Result<()> {
        self.out.write_all(b"\n]}]}\n")?;
        self.out.flush()
    }
}

fn result(listed: &Listed) -> Value {
    let finding = &listed.finding;
    let number = registry::ALL.iter().position(|rule| rule.id == finding.rule.id);
    let level = match finding.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    };
    let text = if finding.subject.is_empty() {
        finding.message.clone()
    } else {
        format!("{}: {}", finding.subject, finding.message)
    };
    let mut value = json!({
        "ruleId": finding.rule.id,
        "ruleIndex": number,
        "level": level,
        "message": {"text": text},
        "partialFingerprints": {"finding/v1": finding.id},
    });
    if !finding.file.is_empty() {
        value["locations"] = json!([location(&finding.file, finding.line)]);
    }
    if !listed.accepted.is_empty() {
        value["suppressions"] = json!([{"kind": "external", "justification": listed.accepted}]);
    }
    if let Some(new) = listed.new {
        value["baselineState"] = json!(if new { "new" } else { "unchanged" });
    }
    value
}

/// Where a finding stands; a sheet of a workbook is a logical place within its file.
fn location(file: &str, line: u64) -> Value {
    let (path, sheet) = match file.split_once(SHEET) {
        Some((path, sheet)) => (path, Some(sheet)),
        None => (file, None),
    };
    let absolute = if path.starts_with('/') { "file://" } else { "" };
    let mut place = json!({"artifactLocation": {"uri": format!("{absolute}{}", uri(path))}});
    if line > 0 {
        place["region"] = json!({"startLine": line});
    }
    let mut location = json!({"physicalLocation": place});
    if let Some(sheet) = sheet {
        location["logicalLocations"] = json!([{"name": sheet, "kind": "sheet"}]);
    }
    location
}

/// A path as a relative reference: what may not stand in one is written in hexadecimal (RFC 3986).
fn uri(path: &str) -> String {
    let mut text = String::with_capacity(path.len());
    for byte in path.bytes() {
        match byte {
            b'a'..=b'z' | b'A'..=b'Z' | b'0'..=b'9' | b'-' | b'.' | b'_' | b'~' | b'/' => {
                text.push(char::from(byte));
            }
            _ => text.push_str(&format!("%{byte:02X}")),
        }
    }
    text
}
