//! `inventory.duplicate-row`: two rows say the same of one port.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.duplicate-row",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "two rows say the same of one port",
    why: "every count is wrong by one",
    remedy: "delete one of them",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Port], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("the same as line {} of {}", said.far.line, said.far.file), String::new())
}
