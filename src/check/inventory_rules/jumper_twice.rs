//! `inventory.jumper-twice`: two ports that do not face each other have the same jumper.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.jumper-twice",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "two ports that do not face each other have the same jumper",
    why: "a label was copied",
    remedy: "read the labels",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Jumper], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!("jumper `{}` is also that of `{}`", said.shown(Column::Jumper), said.far_port()),
        String::new(),
    )
}
