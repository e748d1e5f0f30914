//! `inventory.serial-twice`: one serial number stands in two ports.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.serial-twice",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "one serial number stands in two ports",
    why: "an optic was moved and the old row kept, or the number was copied",
    remedy: "read both modules",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Serial], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("serial `{}` is also in `{}`", said.shown(Column::Serial), said.far_port()), String::new())
}
