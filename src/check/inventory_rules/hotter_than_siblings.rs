//! `inventory.hotter-than-siblings`: a module is much hotter than the others of its card.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.hotter-than-siblings",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a module is much hotter than the others of its card",
    why: "bad airflow at this place, or a failing module",
    remedy: "look at the blanks and the fan beside it",
    source: "common practice: more than 15 degrees over the median of its card",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Temperature], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let degrees = |tenths: i32| f64::from(tenths) / 10.0;
    (
        format!(
            "{:.1} °C, more than 15 °C over the median of its card ({:.1} °C)",
            degrees(said.detail.0),
            degrees(said.detail.1)
        ),
        String::new(),
    )
}
