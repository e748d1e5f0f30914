//! `fit.unknown-optic` over an inventory: no table knows an optic as it is written.

use super::facts::{Entry, Judge, Said};
use crate::check::fit_rules::unknown_optic::RULE;
use crate::inventory::{Column, Profile};
use crate::tables::Named;

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module], judge: Judge::Words(check), say };

fn check(profile: &Profile) -> bool {
    profile.has_module && profile.optic.is_none()
}

fn say(said: &Said<'_>) -> (String, String) {
    let written = said.cell(Column::Module);
    let form = Some(said.cell(Column::Form)).filter(|form| !form.is_empty());
    match said.tables.interface_named_in(written, form) {
        Named::Several(names) => {
            let hint = format!("write one of {}", names.join(", "));
            (format!("`{written}` may be any of {} optics", names.len()), hint)
        }
        Named::Unknown { nearest } if !nearest.is_empty() => (
            format!("no table knows the optic `{written}`"),
            format!("did you mean {}?", nearest.join(" or ")),
        ),
        _ => (format!("no table knows the optic `{written}`"), String::new()),
    }
}
