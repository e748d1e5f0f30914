//! `inventory.not-in-plan`: a port with an optic is not in the plan.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.not-in-plan",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a port with an optic is not in the plan",
    why: "the plan is old, or the port is used without one",
    remedy: "add it to the plan, or ask who uses it",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Port], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("the plan has no port `{}`", said.port()), String::new())
}
