//! `inventory.hot-module`: a module is hotter than its case may be.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Row;
use crate::inventory::number::{Quantity, read};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.hot-module",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a module is hotter than its case may be",
    why: "lasers drift and age fast",
    remedy: "look at fans, filters and open slots",
    source: "common practice: 70 degrees Celsius at the case of a commercial part; table temperature-ranges",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Temperature], judge: Judge::Row(check), say };

/// Tenths of a degree at the case of a commercial part, which is meant where no grade is written.
const COMMERCIAL: i16 = 700;

fn check(at: &At<'_>) -> Option<Detail> {
    let limit = if at.profile.hot == Row::NONE { COMMERCIAL } else { at.profile.hot };
    (at.row.temperature >= limit).then(|| (i32::from(at.row.temperature), i32::from(limit)))
}

fn say(said: &Said<'_>) -> (String, String) {
    let degrees = |tenths: i32| f64::from(tenths) / 10.0;
    let grade = said.cell(Column::Grade);
    let threshold = read(said.cell(Column::TempHighAlarm), Quantity::Temperature).value;
    let of = if threshold.is_some_and(|threshold| threshold > 0.0) {
        "its alarm threshold".to_string()
    } else if said.tables.temperature_ranges.get(grade).is_some() {
        format!("the most of grade {grade}")
    } else {
        "the most of a commercial part".to_string()
    };
    (
        format!("{:.1} °C; {of} is {:.1} °C", degrees(said.detail.0), degrees(said.detail.1)),
        String::new(),
    )
}
