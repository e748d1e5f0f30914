//! `inventory.group-shares`: links of one diversity group share a card.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.group-shares",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "links of one diversity group share a card",
    why: "what is to protect each other falls together",
    remedy: "move one of them",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::DiversityGroup], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "group `{}`: shares its card with `{}`",
            said.shown(Column::DiversityGroup),
            said.far_port()
        ),
        String::new(),
    )
}
