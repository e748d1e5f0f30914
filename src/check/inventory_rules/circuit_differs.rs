//! `inventory.circuit-differs`: the two rows of a pair state unlike circuits.

use super::facts::{At, Detail, Entry, Judge, Said, shortened};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.circuit-differs",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the two rows of a pair state unlike circuits",
    why: "one of the rows was not changed when the other was",
    remedy: "take the circuit of the newer row",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Circuit], judge: Judge::Pair(check), say };

fn check(near: &At<'_>, far: &At<'_>) -> Option<Detail> {
    let (a, b) = (near.row.circuit, far.row.circuit);
    (a != 0 && b != 0 && a != b).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "`{}` here, `{}` at `{}`",
            said.shown(Column::Circuit),
            shortened(said.far.cell(Column::Circuit)),
            said.far_port()
        ),
        String::new(),
    )
}
