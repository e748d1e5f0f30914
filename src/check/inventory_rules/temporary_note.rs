//! `inventory.temporary-note`: a note says that something is temporary or doubtful.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.temporary-note",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "a note says that something is temporary or doubtful",
    why: "what was to be for a night is often still there",
    remedy: "look whether it still holds, and clear the note",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Note], judge: Judge::Marked(flag::TEMPORARY, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    at.row.has(flag::TEMPORARY).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("note: `{}`", said.shown(Column::Note)), String::new())
}
