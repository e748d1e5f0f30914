//! `inventory.more-onus-than-split`: more ONUs are recorded than the split has legs.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Row;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.more-onus-than-split",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "more ONUs are recorded than the split has legs",
    why: "some of them are wrong, or on another PON",
    remedy: "count the ONUs at the OLT",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Onus, Column::Split], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let split = at.profile.split?;
    (at.row.onus != Row::NO_COUNT && at.row.onus > split)
        .then(|| (i32::from(at.row.onus), i32::from(split)))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("{} ONUs on a split of {}", said.detail.0, said.detail.1), String::new())
}
