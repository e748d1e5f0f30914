//! The list of rules, and one rule explained.

use std::fmt::Write as _;

use serde::Serialize;

use super::grid::{Lean, grid, wrapped};
use super::paint::Paint;
use crate::check::{Concern, Rule};

/// A rule as JSON and CSV carry it.
#[derive(Debug, Serialize)]
pub struct RuleRow {
    id: &'static str,
    severity: &'static str,
    concern: &'static str,
    what: &'static str,
    why: &'static str,
    remedy: &'static str,
    source: &'static str,
}

impl RuleRow {
    /// The row of a rule.
    pub fn of(rule: &'static Rule) -> Self {
        Self {
            id: rule.id,
            severity: rule.severity.word(),
            concern: concern(rule),
            what: rule.what,
            why: rule.why,
            remedy: rule.remedy,
            source: rule.source,
        }
    }
}

const fn concern(rule: &Rule) -> &'static str {
    match rule.concern {
        Concern::Input => "input",
        Concern::Plant => "plant",
        Concern::Datum => "datum",
    }
}

/// All rules, a line each.
pub fn list(rules: &[&'static Rule], paint: Paint) -> String {
    let heads = [("rule", Lean::Left), ("severity", Lean::Left), ("finds", Lean::Left)];
    let rows: Vec<Vec<String>> = rules
        .iter()
        .map(|rule| vec![rule.id.to_string(), rule.severity.word().to_string(), rule.what.to_string()])
        .collect();
    grid(&heads, &rows, paint)
}

/// One rule in full.
pub fn explain(rule: &'static Rule, paint: Paint) -> String {
    const WIDTH: usize = 88;
    let mut text =
        format!("{}  ({}, about the {})\n", paint.strong(rule.id), rule.severity.word(), concern(rule));
    let parts =
        [("finds", rule.what), ("why", rule.why), ("to do", rule.remedy), ("source", rule.source)];
    for (head, body) in parts {
        let _ = writeln!(text, "  {head:<8}{}", wrapped(body, WIDTH, "          "));
    }
    text
}
