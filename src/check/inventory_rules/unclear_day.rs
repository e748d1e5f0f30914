//! `inventory.unclear-day`: a day can be read in two ways.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::date;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.unclear-day",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "a day can be read in two ways",
    why: "5/6 may be the fifth of June or the sixth of May; it is not used",
    remedy: "write days as year-month-day",
    source: "ISO 8601",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[], judge: Judge::Marked(flag::DATE_UNCLEAR, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    at.row.has(flag::DATE_UNCLEAR).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let days = [said.cell(Column::Installed), said.cell(Column::Proven)];
    let unclear = days.into_iter().filter(|day| date::read(day) == date::Day::Unclear);
    (format!("`{}`: which is the month?", unclear.collect::<Vec<_>>().join("`, `")), String::new())
}
