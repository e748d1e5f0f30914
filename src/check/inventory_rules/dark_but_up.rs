//! `inventory.dark-but-up`: a reading says dark while the port is up.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.dark-but-up",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a reading says dark while the port is up",
    why: "the snapshot is stale, or the reading belongs to another port",
    remedy: "read state and levels at the same time",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry {
    rule: &RULE,
    needs: &[Column::Rx, Column::Oper],
    judge: Judge::Marked(flag::DARK_RX | flag::DARK_TX, check),
    say,
};

fn check(at: &At<'_>) -> Option<Detail> {
    let dark = at.row.has(flag::DARK_TX) || (at.row.has(flag::DARK_RX) && !hears_nobody_rightly(at));
    (dark && at.is_up()).then_some((0, 0))
}

/// A PON port hears its ONUs alone: with none of them it is dark, and up.
fn hears_nobody_rightly(at: &At<'_>) -> bool {
    at.profile.is_pon && at.row.onus == 0
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!("up, but transmit {}, receive {}", said.quoted(Column::Tx), said.quoted(Column::Rx)),
        String::new(),
    )
}
