//! `inventory.plan-optic-differs`: the plan has another optic in this port.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.plan-optic-differs",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the plan has another optic in this port",
    why: "the budget was computed with the planned one",
    remedy: "plug the planned optic, or judge the plan again",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Module], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let (planned, port) = (said.planned_optics(), said.plan_port());
    let module = said.shown(Column::Module);
    (format!("the plan has `{planned}` in `{port}`; the row has `{module}`"), String::new())
}
