//! `inventory.uplinks-together`: all uplinks of a shelf stand on one card or one power feed.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.uplinks-together",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "all uplinks of a shelf stand on one card or one power feed",
    why: "one card or one fuse takes the whole shelf off",
    remedy: "move one uplink to another card and feed",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::PortRole], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let what = if said.detail.1 == 0 { "one card" } else { "one power feed" };
    (format!("{} uplinks of the shelf share {what}", said.detail.0), String::new())
}
