//! `inventory.strand-twice`: two paths are recorded on one strand.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.strand-twice",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two paths are recorded on one strand",
    why: "a strand carries one path; the next order breaks one of them",
    remedy: "look at the cable record",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Strand], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!("strand `{}` is also that of `{}`", said.shown(Column::Strand), said.far_port()),
        String::new(),
    )
}
