//! `inventory.bias-over-siblings`: a laser draws far more current than its like.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.bias-over-siblings",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a laser draws far more current than its like",
    why: "rising bias at falling power is the end of a laser",
    remedy: "keep a spare ready; compare with the last reading",
    source: "common practice: 1.5 times the median",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::Bias], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let median = i32::from(at.sight.cohorts.get(at.row.profile as usize)?.bias?);
    let bias = i32::from(at.row.bias);
    (bias > 0 && 2 * bias > 3 * median).then_some((bias, median))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "bias {} mA, more than 1.5 times the median of its like ({} mA)",
            said.first(),
            said.second()
        ),
        String::new(),
    )
}
