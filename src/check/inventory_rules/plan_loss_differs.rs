//! `inventory.plan-loss-differs`: what is read between two ports is not what the plan's path may lose.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.plan-loss-differs",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "what is read between two ports is not what the plan's path may lose",
    why: "the path is another one, or it is dirty or bent",
    remedy: "measure the path, then correct the plan or the path",
    source: "common practice; SFF-8472 meter error 3 dB each, as the root of the sum of squares",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Rx, Column::Tx], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let side = if said.detail.0 > said.detail.1 { "most" } else { "least" };
    (
        format!(
            "{} dB are read from `{}`; the plan's path loses at {side} {} dB, and more than two meters' error \
             lies between",
            said.first(),
            said.far_end(),
            said.second()
        ),
        String::new(),
    )
}
