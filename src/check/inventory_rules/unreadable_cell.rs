//! `inventory.unreadable-cell`: a cell cannot be read as what its column stands for.

use super::cells::{bad_cells, listed};
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.unreadable-cell",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a cell cannot be read as what its column stands for",
    why: "what cannot be read is not checked",
    remedy: "write a number with or without its unit, a day as year-month-day",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[], judge: Judge::Marked(flag::UNREADABLE, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    (at.row.has(flag::UNREADABLE) && !at.row.has(flag::SHIFTED)).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("cannot be read: {}", listed(&bad_cells(said.near))), String::new())
}
