//! `inventory.conflicting-rows`: two rows say unlike things of one port.

use super::facts::{Entry, Judge, Said, quoted};
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
    // The parts of the name say the same in other words, or it would not be one port.
    const NAME: [Column; 4] = [Column::Site, Column::Shelf, Column::Slot, Column::Port];
    let there = |column: Column| said.far.cell(column);
    let unlike = COLUMNS.iter().copied().filter(|c| !NAME.contains(c) && said.cell(*c) != there(*c));
    let unlike: Vec<String> =
        unlike.map(|c| format!("{} {} (here {})", c.name(), quoted(there(c)), said.quoted(c))).collect();
    let (line, file) = (said.far.line, &said.far.file);
    (format!("line {line} of {file} says otherwise: {}", unlike.join(", ")), String::new())
}
