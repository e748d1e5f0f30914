//! `inventory.slot-without-blank`: an empty slot without a blank.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Profile};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.slot-without-blank",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "an empty slot without a blank",
    why: "air takes the short way and the cards beside it run hot",
    remedy: "put a blank in",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::CardType], judge: Judge::Words(check), say };

fn check(profile: &Profile) -> bool {
    profile.is_empty_slot
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("slot {} is empty and no blank is recorded", said.shown(Column::Slot)), String::new())
}
