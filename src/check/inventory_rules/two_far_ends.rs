//! `inventory.two-far-ends`: two far ends stand in one cell.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.two-far-ends",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "two far ends stand in one cell",
    why: "a port has one far end; the other belongs to another row or to the past",
    remedy: "write one",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[], judge: Judge::Marked(flag::TWO_FARS, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    at.row.has(flag::TWO_FARS).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("`{}` names more than one far end", said.far_end()), String::new())
}
