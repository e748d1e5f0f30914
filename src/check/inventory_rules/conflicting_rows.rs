//! `inventory.conflicting-rows`: two rows say unlike things of one port.

use super::facts::{Entry, Judge, Said, quoted};
use super::same_words;
use crate::check::{Concern, Rule, Severity};
use crate::inventory::blank::says_nothing;
use crate::inventory::{COLUMNS, Column};

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
    let there = |column: Column| said.far.cell(column);
    // What only one of them says is no contradiction.
    let both = |column: Column| !says_nothing(there(column)) && !says_nothing(said.cell(column));
    let unlike = |column: &Column| {
        both(*column) && !same_words::say_the_same(*column, said.near, said.far, said.tables)
    };
    let unlike: Vec<String> = COLUMNS
        .iter()
        .filter(|column| unlike(column))
        .map(|c| format!("{} {} (here {})", c.name(), quoted(there(*c)), said.quoted(*c)))
        .collect();
    let (line, file) = (said.far.line, &said.far.file);
    if unlike.is_empty() {
        return (format!("line {line} of {file} has the same port with other readings"), String::new());
    }
    (format!("line {line} of {file} says otherwise: {}", unlike.join(", ")), String::new())
}
