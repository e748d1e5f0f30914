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
    Entry { rule: &RULE, needs: &[Column::RxLowAlarm], judge: Judge::Words(check), say };

fn check(profile: &Profile) -> bool {
    let known: Vec<_> = profile.thresholds.iter().flatten().collect();
    known.windows(2).any(|pair| pair[0] > pair[1])
}

fn say(said: &Said<'_>) -> (String, String) {
    let names = [Column::RxLowAlarm, Column::RxLowWarning, Column::RxHighWarning, Column::RxHighAlarm];
    (format!("none may lie below the one before: {}", said.present(&names)), String::new())
}
