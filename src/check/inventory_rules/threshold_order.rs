//! `inventory.threshold-order`: alarm and warning thresholds are out of order.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Profile};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.threshold-order",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "alarm and warning thresholds are out of order",
    why: "flags made of them say nothing",
    remedy: "read the thresholds from the module again",
    source: "SFF-8472 threshold fields",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::RxLowAlarm], judge: Judge::Words(is_out_of_order), say };

/// Whether a threshold lies below one that is to lie below it.
pub(super) fn is_out_of_order(profile: &Profile) -> bool {
    !profile.thresholds.iter().flatten().is_sorted()
}

fn say(said: &Said<'_>) -> (String, String) {
    let names = [Column::RxLowAlarm, Column::RxLowWarning, Column::RxHighWarning, Column::RxHighAlarm];
    (format!("none may lie below the one before: {}", said.present(&names)), String::new())
}
