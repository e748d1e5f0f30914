//! `inventory.far-end-disagrees`: the far row names another far end.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-end-disagrees",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the far row names another far end",
    why: "somebody will pull the wrong jumper",
    remedy: "look at one end; the smallest set of changes is listed under edits",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FarSite], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("names `{}`, which itself names `{}`", said.far_port(), said.far.far_name()), String::new())
}
