//! `inventory.conflicting-rows`: two rows say unlike things of one port.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::COLUMNS;
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.conflicting-rows",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two rows say unlike things of one port",
    why: "one of them is stale, and which one decides every check",
    remedy: "keep the newer one",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Port], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let unlike: Vec<&str> =
        COLUMNS.iter().filter(|c| said.cell(**c) != said.far.cell(**c)).map(|c| c.name()).collect();
    (
        format!("line {} of {} says otherwise in: {}", said.far.line, said.far.file, unlike.join(", ")),
        String::new(),
    )
}
