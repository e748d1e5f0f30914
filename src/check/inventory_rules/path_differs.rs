//! `inventory.path-differs`: the two rows of a pair state unlike lengths or losses.

use super::facts::{At, Detail, Entry, Judge, Said, quoted};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

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
    (long || lossy).then_some((i32::from(long), i32::from(lossy)))
}

fn say(said: &Said<'_>) -> (String, String) {
    let unlike = |column: Column, limit: &str| {
        let (here, there) = (said.quoted(column), quoted(said.far.cell(column)));
        format!("{} {here} here, {there} at `{}`, not within {limit}", column.name(), said.far_port())
    };
    let long = (said.detail.0 != 0).then(|| unlike(Column::PathLength, "100 m and 5 %"));
    let lossy = (said.detail.1 != 0).then(|| unlike(Column::PathLoss, "1 dB"));
    (long.into_iter().chain(lossy).collect::<Vec<_>>().join("; "), String::new())
}
