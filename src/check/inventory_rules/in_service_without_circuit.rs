//! `inventory.in-service-without-circuit`: a port is in service but no circuit is recorded.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Status;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.in-service-without-circuit",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a port is in service but no circuit is recorded",
    why: "nobody knows who is hit when it fails",
    remedy: "record the circuit, or free the port",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Status, Column::Circuit], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let served = at.profile.status == Status::InService && !at.profile.is_pon && !at.profile.is_blank;
    (served && at.row.circuit == 0 && !at.row.has(flag::DAMAGED_ID)).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("`{}` is in service without a circuit", said.port()), String::new())
}
