//! `inventory.identical-readings`: many ports of one card read the same to a hundredth.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.identical-readings",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "many ports of one card read the same to a hundredth",
    why: "the collector repeats one value",
    remedy: "read the card again",
    source: "common practice: eight ports",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Tx, Column::Rx], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "{} ports of the card read transmit `{}`, receive `{}`",
            said.detail.0,
            said.shown(Column::Tx),
            said.shown(Column::Rx)
        ),
        String::new(),
    )
}
