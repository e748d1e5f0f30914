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
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[], judge: Judge::Row(check), say };

/// Marks of what is wrong with the days.
const CROSSED: i32 = 1;
const INSTALLED_LATER: i32 = 2;
const PROVEN_LATER: i32 = 4;

fn check(at: &At<'_>) -> Option<Detail> {
    let (installed, proven) = (i32::from(at.row.installed), i32::from(at.row.proven));
    let crossed = installed != 0 && proven != 0 && proven < installed;
    let today = at.sight.limits.today.and_then(|day| i32::try_from(day).ok()).unwrap_or(i32::MAX);
    let marks =
        [(crossed, CROSSED), (installed > today, INSTALLED_LATER), (proven > today, PROVEN_LATER)];
    let wrong = marks.iter().filter(|(so, _)| *so).map(|(_, mark)| mark).sum();
    (wrong != 0).then_some((wrong, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let (installed, proven) = (said.quoted(Column::Installed), said.quoted(Column::Proven));
    let later = "which is after the day of judgement";
    let parts = [
        (INSTALLED_LATER, format!("installed {installed}, {later}")),
        (PROVEN_LATER, format!("proven {proven}, {later}")),
        (CROSSED, format!("proven {proven}, before it was installed: {installed}")),
    ];
    let parts = parts.into_iter().filter(|(mark, _)| said.detail.0 & mark != 0).map(|(_, words)| words);
    (parts.collect::<Vec<_>>().join("; "), String::new())
}
