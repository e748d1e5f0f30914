//! `budget.damage` over an inventory, with the loss or length that its rows state.

use super::facts::{Allowed, At, Detail, Entry, Judge, Said, hundredths};
use crate::check::budget_rules::damage::RULE;
use crate::inventory::Column;

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::PathLoss], judge: Judge::Light(check), say };

fn check(near: &At<'_>, far: &At<'_>, allowed: &Allowed) -> Option<Detail> {
    let (loss, least) = (super::levels::loss(near, far)?, allowed.harmless?);
    (loss < least).then(|| (hundredths(loss.value()), hundredths(least.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "from `{}`: {} dB lost, at least {} dB keep the receiver from harm",
            said.far_port(),
            said.first(),
            said.second()
        ),
        String::new(),
    )
}
