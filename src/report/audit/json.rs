//! The machine's face: one JSON document with the findings and the summary.
//!
//! `shape: spanwright.audit`, `version: 1`. Findings come first and are written one by one; the version
//! rises when a field changes its meaning or goes, new fields do not change it.

use std::io::{self, Write};

use serde_json::{Value, json};

use super::escaped::Escaped;
use super::jsonl::FindingRow;
use super::{List, Listed, Summary};
use crate::report::cautions;
use crate::report::trust::TrustRow;

/// Sites that are listed.
const SITES: usize = 1_000;

/// A report as JSON.
pub struct JsonReport<W: Write> {
    out: Escaped<W>,
    any: bool,
}

impl<W: Write> JsonReport<W> {
    /// Begins the document.
    ///
    /// # Errors
    /// Whatever the writer says.
    pub fn new(mut out: W) -> io::Result<Self> {
        out.write_all(b"{\n  \"shape\": \"spanwright.audit\",\n  \"version\": 1,\n  \"findings\": [")?;
        Ok(Self { out: Escaped::new(out), any: false })
    }
}

impl<W: Write> List for JsonReport<W> {
    fn add(&mut self, listed: &Listed) -> io::Result<()> {
        self.out.write_all(if self.any { b",\n    " } else { b"\n    " })?;
        self.any = true;
        serde_json::to_writer(&mut self.out, &FindingRow::of(listed))?;
        Ok(())
    }

    fn finish(mut self: Box<Self>, summary: &Summary) -> io::Result<()> {
        self.out.write_all(if self.any { b"\n  ]" } else { b"]" })?;
        for (key, value) in parts(summary) {
            write!(self.out, ",\n  \"{key}\": ")?;
            let text = serde_json::to_string_pretty(&value)?;
            self.out.write_all(text.replace('\n', "\n  ").as_bytes())?;
        }
        self.out.write_all(b"\n}\n")?;
        self.out.flush()
    }
}

/// The parts behind the findings.
fn parts(summary: &Summary) -> Vec<(&'static str, Value)> {
    let [errors, warnings, notes] = summary.tally.by_severity();
    let files = summary.files.iter().map(|(name, dress)| json!({"name": name, "dress": dress}));
    let left_out = summary.left_out.iter().map(|one| json!({"name": one.name, "why": one.why}));
    let not_used = summary.not_used.iter().map(|one| {
        json!({
            "file": one.file, "head": one.head, "cell": one.cell, "column": one.column, "used": one.used,
        })
    });
    let rules = summary.tally.by_rule().into_iter();
    let rules =
        rules.map(|r| json!({"rule": r.rule.id, "severity": r.severity.word(), "findings": r.count}));
    let sites = summary.tally.by_site().into_iter().take(SITES).map(|site| {
        let [errors, warnings, notes] = site.counts;
        json!({"site": site.site, "errors": errors, "warnings": warnings, "notes": notes})
    });
    let fixes = summary.fixes.iter().map(|fix| {
        let rules: Vec<&str> = fix.findings.iter().map(|finding| finding.rule.id).collect();
        let first = fix.findings.first();
        json!({
            "subject": first.map(|f| f.subject.as_str()),
            "weight": fix.weight,
            "rules": rules,
            "to_do": first.map(|f| f.hint.as_str()),
        })
    });
    let edits = summary.edits.iter().map(|edit| {
        json!({"subject": edit.subject, "file": edit.file, "line": edit.line, "from": edit.from, "to": edit.to})
    });
    let turns = summary.turns.iter().map(|turn| {
        json!({
            "column": turn.column, "how": turn.how, "cells": turn.cells, "example": turn.example,
            "file": turn.file, "line": turn.line,
        })
    });
    let not_checked = summary.not_checked.iter();
    let not_checked = not_checked.map(|n| json!({"rule": n.rule, "missing": n.missing, "rows": n.rows}));
    let since = summary.since.as_ref().map(|since| {
        let gone = since.gone.iter().map(|[id, rule, subject, message]| {
            json!({"id": id, "rule": rule, "subject": subject, "message": message})
        });
        json!({"new": since.new, "unchanged": since.unchanged, "gone": gone.collect::<Vec<_>>()})
    });
    vec![
        ("date", if summary.date.is_empty() { Value::Null } else { json!(summary.date) }),
        ("files", Value::Array(files.collect())),
        ("left_out", Value::Array(left_out.collect())),
        ("heads_not_used", Value::Array(not_used.collect())),
        ("rows", json!(summary.rows)),
        ("skipped_lines", json!(summary.skipped)),
        (
            "matched",
            json!({
                "naming_a_far_end": summary.matched.naming,
                "mutual": summary.matched.mutual,
                "outside": summary.matched.outside,
            }),
        ),
        (
            "counts",
            json!({
                "errors": errors, "warnings": warnings, "notes": notes,
                "accepted": summary.tally.accepted, "acceptance_passed": summary.tally.expired, "acceptance_unmet": summary.tally.unmet,
            }),
        ),
        ("by_rule", Value::Array(rules.collect())),
        ("by_site", Value::Array(sites.collect())),
        ("fixes", Value::Array(fixes.collect())),
        ("edits", Value::Array(edits.collect())),
        ("reinterpreted", Value::Array(turns.collect())),
        ("not_checked", Value::Array(not_checked.collect())),
        ("rests_on", json!(TrustRow::of(summary.trust))),
        ("since", since.unwrap_or(Value::Null)),
        ("cautions", json!([cautions::LIGHT, cautions::SHELF])),
    ]
}
