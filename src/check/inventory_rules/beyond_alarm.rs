//! `inventory.beyond-alarm`: the receive level lies beyond the module's own alarm threshold.

use super::facts::{At, Detail, Entry, Judge, Said, hundredths};
use super::threshold_order;
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.beyond-alarm",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the receive level lies beyond the module's own alarm threshold",
    why: "the module itself says that it is out of its limits",
    remedy: "clean, measure, find the cause",
    source: "SFF-8472 alarm thresholds",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Rx], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let level = at.row.receive()?;
    let [low, _, _, high] = at.profile.thresholds;
    let limit = low.filter(|low| level < *low).or_else(|| high.filter(|high| level > *high))?;
    // Thresholds out of order say nothing, which is said by itself.
    let in_order = !threshold_order::is_out_of_order(at.profile);
    in_order.then(|| (i32::from(at.row.rx), hundredths(limit.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    let side = if said.detail.0 < said.detail.1 { "low" } else { "high" };
    (
        format!("receives {} dBm; the {side} alarm threshold is {} dBm", said.first(), said.second()),
        String::new(),
    )
}
