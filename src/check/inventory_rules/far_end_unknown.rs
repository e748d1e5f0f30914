//! `inventory.far-end-unknown`: no row has the far end's name, though its site is covered.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-end-unknown",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "no row has the far end's name, though its site is covered",
    why: "a slip in the name, or a row that is missing",
    remedy: "correct the name, or add the row",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FarSite], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let hint = if std::ptr::eq(said.near, said.far) {
        String::new()
    } else {
        format!("did you mean `{}`?", said.far_port())
    };
    (format!("no row is called `{}`", said.far_end()), hint)
}
