//! `inventory.circuit-many-ports`: one circuit stands at more than two ports that do not face each other.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.circuit-many-ports",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "one circuit stands at ports that do not face each other",
    why: "a copied circuit hides the real one",
    remedy: "look the circuit up",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Circuit], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!("circuit `{}` also stands at `{}`", said.shown(Column::Circuit), said.far_port()),
        String::new(),
    )
}
