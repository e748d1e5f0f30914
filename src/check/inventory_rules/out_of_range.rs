//! `inventory.out-of-range`: a value lies outside what is physically possible.

use super::cells::wild_listed;
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.out-of-range",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a value lies outside what is physically possible",
    why: "it is a wrong unit, a sentinel or a slip of the hand, and is not used",
    remedy: "look the value up at its source",
    source: "common practice: levels -60 to +30 dBm, losses 0 to 60 dB, -60 to +125 degrees Celsius",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[], judge: Judge::Marked(flag::OUT_OF_RANGE, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    (at.row.has(flag::OUT_OF_RANGE) && !at.row.has(flag::SHIFTED)).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("out of what is possible: {}", wild_listed(said.near)), String::new())
}
