//! `budget.dispersion` over an inventory, with the loss or length that its rows state.

use super::facts::{Allowed, At, Detail, Entry, Judge, Said, hundredths};
use crate::check::budget_rules::dispersion::RULE;
use crate::inventory::Column;

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::PathLength], judge: Judge::Light(check), say };

fn check(near: &At<'_>, far: &At<'_>, allowed: &Allowed) -> Option<Detail> {
    let (length, most) = (near.length().or_else(|| far.length())?, allowed.dispersion?);
    (length > most).then(|| (hundredths(length.value()), hundredths(most.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "{} km from `{}`; the dispersion is allowed up to {} km",
            said.first(),
            said.far_port(),
            said.second()
        ),
        String::new(),
    )
}
