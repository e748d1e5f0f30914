//! `inventory.plan-far-differs`: the plan joins this port to another far end.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.plan-far-differs",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the plan joins this port to another far end",
    why: "one of the two describes another path",
    remedy: "look at the frame",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FarSite], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!("the plan joins it to `{}`; the row names `{}`", said.plan_port(), said.far_end()),
        String::new(),
    )
}
