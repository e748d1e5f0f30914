//! `inventory.unit-mix`: a column mixes units.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::COLUMNS;
use crate::inventory::Turn;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.unit-mix",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "a column mixes units",
    why: "a number without a unit beside them may be in either",
    remedy: "write one unit, in the head",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let column = COLUMNS.get(said.detail.0 as usize).map_or("", |column| column.name());
    let turn = Turn::ALL.get(said.detail.1 as usize).map_or("", |turn| turn.words());
    (format!("column {column}: {turn}"), String::new())
}
