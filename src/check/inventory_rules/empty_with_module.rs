//! `inventory.empty-with-module`: an optic is recorded in a port that is said to be empty.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Oper;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.empty-with-module",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "an optic is recorded in a port that is said to be empty",
    why: "spares are counted wrong, or the state is stale",
    remedy: "look what is plugged",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Oper, Column::Module], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let recorded = at.profile.has_module || at.row.has(flag::HAS_SERIAL);
    (at.profile.oper == Oper::Empty && recorded).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let recorded = said.present(&[Column::Module, Column::Serial]);
    (format!("empty, but recorded: {recorded}"), String::new())
}
