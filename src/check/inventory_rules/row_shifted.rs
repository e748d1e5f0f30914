//! `inventory.row-shifted`: many cells of a row do not hold what their columns stand for.

use super::cells::{bad_cells, listed};
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.row-shifted",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "many cells of a row do not hold what their columns stand for",
    why: "a row whose cells slid to the side says nothing true",
    remedy: "mend the row in the source; it is left out of every other check",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    at.row.has(flag::SHIFTED).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let bad = bad_cells(said.near);
    (
        format!("{} cells do not hold what their columns stand for: {}", bad.len(), listed(&bad)),
        String::new(),
    )
}
