//! `inventory.dates-contradict`: days of a row contradict each other, or lie in the future.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.dates-contradict",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "days of a row contradict each other, or lie in the future",
    why: "one of them is wrong, so neither proves anything",
    remedy: "look both days up",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Proven], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let (installed, proven) = (i32::from(at.row.installed), i32::from(at.row.proven));
    let crossed = installed != 0 && proven != 0 && proven < installed;
    let today = at.sight.limits.today.and_then(|day| i32::try_from(day).ok()).unwrap_or(i32::MAX);
    (crossed || installed > today || proven > today).then_some((installed, proven))
}

fn say(said: &Said<'_>) -> (String, String) {
    let (installed, proven) = (said.quoted(Column::Installed), said.quoted(Column::Proven));
    let (first, last) = said.detail;
    let message = if first != 0 && last != 0 && last < first {
        format!("proven {proven}, before it was installed: {installed}")
    } else {
        format!("a day after the day of judgement: installed {installed}, proven {proven}")
    };
    (message, String::new())
}
