//! `inventory.launch-under-siblings`: a laser sends far less than its like.

use super::facts::{At, Detail, Entry, Judge, Said, hundredths, two};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Row;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.launch-under-siblings",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a laser sends far less than its like",
    why: "it ages, or it is another part under the same name",
    remedy: "watch the bias; keep a spare ready",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::Tx], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let median = i32::from(at.sight.cohorts.get(at.row.profile as usize)?.tx?);
    let limit = median - hundredths(at.sight.limits.under_siblings.value());
    let sent = i32::from(at.row.tx);
    (at.row.tx != Row::NONE && sent < limit).then_some((sent, median))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "transmits {} dBm, {} dB under the median of its like ({} dBm)",
            said.first(),
            two(said.detail.1 - said.detail.0),
            said.second()
        ),
        String::new(),
    )
}
