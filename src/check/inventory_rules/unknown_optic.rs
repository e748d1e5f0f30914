//! `inventory.unknown-optic`: no table knows an optic as it is written.
//!
//! In a plan such a name is an error (`fit.unknown-optic`). Over an inventory it is a gap of the tables
//! before it is a fault of the row.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Profile};
use crate::tables::Named;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.unknown-optic",
    severity: Severity::Warning,
    concern: Concern::Datum,
    what: "no table knows an optic as it is written",
    why: "what depends on the optic is not checked: reach, levels, the far end's optic",
    remedy: "write the name as the tables have it (`spanwright tables interfaces`), or add a row of your own",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module], judge: Judge::Words(check), say };

fn check(profile: &Profile) -> bool {
    profile.has_module && profile.optic.is_none() && !profile.is_electrical
}

fn say(said: &Said<'_>) -> (String, String) {
    let written = said.cell(Column::Module);
    let form = Some(said.cell(Column::Form)).filter(|form| !form.is_empty());
    let shown = said.shown(Column::Module);
    match said.tables.interface_named_in(written, form) {
        Named::Several(names) => {
            let hint = format!("write one of {}", names.join(", "));
            (format!("`{shown}` may be any of {} optics", names.len()), hint)
        }
        Named::Unknown { nearest } if !nearest.is_empty() => (
            format!("no table knows the optic `{shown}`"),
            format!("did you mean {}?", nearest.join(" or ")),
        ),
        _ => (format!("no table knows the optic `{shown}`"), String::new()),
    }
}
