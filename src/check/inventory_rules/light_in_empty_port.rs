//! `inventory.light-in-empty-port`: levels are read in a port that is said to be empty.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Oper;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.light-in-empty-port",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "levels are read in a port that is said to be empty",
    why: "an optic is there that the record does not have, or the reading belongs to another port",
    remedy: "look what is plugged",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Oper], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    (at.profile.oper == Oper::Empty && at.row.is_lit()).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("empty, but read: {}", said.present(&[Column::Tx, Column::Rx])), String::new())
}
