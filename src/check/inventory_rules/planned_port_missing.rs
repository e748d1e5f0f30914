//! `inventory.planned-port-missing`: the inventory of a site lacks a port that the plan has there.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.planned-port-missing",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the inventory of a site lacks a port that the plan has there",
    why: "the plan was not built, or the row is missing",
    remedy: "look whether it is built, and add the row",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Port], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("no row for `{}` of the plan", said.plan_port()), String::new())
}
