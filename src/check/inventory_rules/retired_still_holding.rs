//! `inventory.retired-still-holding`: a retired record still holds a port, a strand or an optic.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Status;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.retired-still-holding",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a retired record still holds a port, a strand or an optic",
    why: "what is not used blocks what is needed",
    remedy: "free strand, port and optic, or correct the status",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Status], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let holds = at.row.strand != 0 || at.row.frame != 0 || at.row.has(flag::HAS_SERIAL) || at.is_up();
    (at.profile.status == Status::Retired && holds).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let held = [Column::Strand, Column::FramePort, Column::Serial, Column::Oper];
    (format!("retired, but holds {}", said.present(&held)), String::new())
}
