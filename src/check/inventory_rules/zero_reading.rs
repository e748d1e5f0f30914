//! `inventory.zero-reading`: the receive level of a port that is up is exactly zero.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.zero-reading",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the receive level of a port that is up is exactly zero",
    why: "zero may be 0 dBm or a dark receiver converted badly; it is not used",
    remedy: "read the level at the module",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Rx], judge: Judge::Marked(flag::ZERO_RX, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    (at.row.has(flag::ZERO_RX) && at.is_up()).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("receive level `{}`: dark, or 0 dBm?", said.shown(Column::Rx)), String::new())
}
