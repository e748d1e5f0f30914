//! `inventory.supply-voltage`: a module gets too little or too much voltage.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.supply-voltage",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the supply voltage that a module reports lies outside 3.135 to 3.465 V",
    why: "its levels are not promised there; the contacts of its cage or the supply of the card are poor",
    remedy: "reseat the module; compare with its neighbors on the card before the module is blamed",
    source: "SFF-8431 and SFF-8679: 3.3 V with 5 % either way, from memory",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Voltage], judge: Judge::Marked(flag::SUPPLY_OFF, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    (at.row.has(flag::SUPPLY_OFF) && !at.row.has(flag::MISPLACED)).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!("supply voltage `{}`, 3.135 to 3.465 V are asked for", said.shown(Column::Voltage)),
        String::new(),
    )
}
