//! `inventory.proof-old`: the last proof is older than five years, or the years that are set.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Row};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.proof-old",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "the last proof is older than five years, or the years that are set",
    why: "an old proof says little of today's fiber",
    remedy: "measure again when somebody is there",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Proven], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let today = at.sight.limits.today?;
    let age = today - i64::from(at.row.proven);
    let old = at.row.proven != 0 && at.is_real() && age > at.sight.limits.proof_days;
    let days = |count: i64| i32::try_from(count).unwrap_or(i32::MAX);
    // A day before the first one that a row can keep: so old at least, told by the sign.
    let age = if at.row.proven == Row::FIRST_DAY { -days(age) } else { days(age) };
    old.then(|| (age, days(at.sight.limits.proof_days)))
}

fn say(said: &Said<'_>) -> (String, String) {
    let (age, limit) = said.detail;
    let proven = said.cell(Column::Proven);
    let more = if age < 0 { "more than " } else { "" };
    let age = age.abs();
    (format!("last proof `{proven}`, {more}{age} days ago; the limit is {limit} days"), String::new())
}
