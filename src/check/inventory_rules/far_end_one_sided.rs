//! `inventory.far-end-one-sided`: the far row names no far end.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-end-one-sided",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the far row names no far end",
    why: "half a record: the other end is free in the books",
    remedy: "write this port as the far end there",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FarSite], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("names `{}`, which names nobody", said.far_port()), String::new())
}
