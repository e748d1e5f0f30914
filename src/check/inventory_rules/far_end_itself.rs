//! `inventory.far-end-itself`: a row names itself as its far end.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-end-itself",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a row names itself as its far end",
    why: "the far end was copied from the wrong cell",
    remedy: "write the far end",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FarSite], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (format!("`{}` names itself", said.port()), String::new())
}
