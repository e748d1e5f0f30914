//! `inventory.pon-full`: every leg of a PON is taken.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.pon-full",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "every leg of a PON is taken",
    why: "the next customer finds no leg",
    remedy: "plan the next split in time",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Onus, Column::Split], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let split = at.profile.split?;
    (at.row.onus == split).then(|| (i32::from(split), 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("all {} legs are taken", said.detail.0), String::new())
}
