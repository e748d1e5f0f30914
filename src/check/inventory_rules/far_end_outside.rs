//! `inventory.far-end-outside`: the far end stands in a site that the inventory does not cover.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-end-outside",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "the far end stands in a site that the inventory does not cover",
    why: "the pair cannot be checked",
    remedy: "add the inventory of that site",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FarSite], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("`{}` is in no file", said.far_end()), String::new())
}
