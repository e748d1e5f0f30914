//! `inventory.ragged-row`: a row has more or fewer cells than there are heads.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.ragged-row",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a row has more or fewer cells than there are heads",
    why: "a delimiter inside a text, or a lost one, moves the cells behind it",
    remedy: "quote the text, or put the missing cell in",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[], judge: Judge::Marked(flag::RAGGED, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    at.row.has(flag::RAGGED).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let (cells, heads) = said.near.width.unwrap_or_default();
    let hint = if cells > heads {
        "quote the text that holds the delimiter; until then the row is left out of every other check"
    } else {
        ""
    };
    (format!("the row has {cells} cells, the line of heads {heads}"), hint.to_string())
}
