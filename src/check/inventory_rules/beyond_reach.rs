//! `budget.beyond-reach` over an inventory, with the loss or length that its rows state.

use super::facts::{Allowed, At, Detail, Entry, Judge, Said, hundredths};
use crate::check::budget_rules::beyond_reach::RULE;
use crate::inventory::Column;

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::PathLength], judge: Judge::Light(check), say };

fn check(near: &At<'_>, far: &At<'_>, allowed: &Allowed) -> Option<Detail> {
    let (length, reach) = (near.length().or_else(|| far.length())?, allowed.reach?);
    (length > reach).then(|| (hundredths(length.value()), hundredths(reach.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "{} km from `{}`; `{}` is specified for {} km",
            said.first(),
            said.far_port(),
            said.shown(Column::Module),
            said.second()
        ),
        String::new(),
    )
}
