//! `inventory.path-differs`: the two rows of a pair state unlike lengths or losses.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::WrittenRow;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.path-differs",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the two rows of a pair state unlike lengths or losses",
    why: "one of them describes another path",
    remedy: "look which one is right",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::PathLength], judge: Judge::Pair(check), say };

fn check(near: &At<'_>, far: &At<'_>) -> Option<Detail> {
    let lengths = near.length().zip(far.length()).map(|(a, b)| (a.value(), b.value()));
    let long = lengths.is_some_and(|(a, b)| (a - b).abs() > 0.1 + 0.05 * a.max(b));
    let losses = near.row.path_loss().zip(far.row.path_loss());
    let lossy = losses.is_some_and(|(a, b)| (a - b).value().abs() > 1.0);
    (long || lossy).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let of = |row: &WrittenRow| {
        format!("{} and {}", row.cell(Column::PathLength), row.cell(Column::PathLoss))
    };
    (
        format!("length and loss {} here, {} at `{}`", of(said.near), of(said.far), said.far.name()),
        String::new(),
    )
}
