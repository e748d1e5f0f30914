//! `inventory.no-name`: a row has no site or no port.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::blank::says_nothing;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.no-name",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a row has no site or no port",
    why: "nothing can be matched with it",
    remedy: "write both",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry {
    rule: &RULE,
    // A file without the column is told once, not at each of its rows.
    needs: &[Column::Site, Column::Port],
    judge: Judge::Marked(flag::NO_SITE | flag::NO_PORT, check),
    say,
};

fn check(at: &At<'_>) -> Option<Detail> {
    let nameless = at.row.has(flag::NO_SITE | flag::NO_PORT);
    let slot = at.profile.is_blank || at.profile.is_empty_slot;
    let counts = !slot || at.row.has(flag::NO_SITE);
    (nameless && counts).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let missing = if says_nothing(said.cell(Column::Site)) { "site" } else { "port" };
    let hint = if missing == "site" {
        "a merged cell? `fill-down` in a map of columns fills it from above"
    } else {
        "write the port as the equipment names it"
    };
    (format!("no {missing} is written"), hint.to_string())
}
