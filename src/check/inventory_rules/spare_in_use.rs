//! `inventory.spare-in-use`: a spare port carries a circuit or light.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Row;
use crate::inventory::Status;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.spare-in-use",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a spare port carries a circuit or light",
    why: "it is sold twice, or used without a record",
    remedy: "correct the status, or find who uses it",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Status], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let used = at.row.circuit != 0 || at.row.rx != Row::NONE;
    (at.profile.status == Status::Spare && used).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("spare, but {}", said.present(&[Column::Circuit, Column::Rx])), String::new())
}
