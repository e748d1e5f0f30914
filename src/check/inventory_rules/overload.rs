//! `budget.overload` over an inventory, with the loss or length that its rows state.

use super::facts::{Allowed, At, Detail, Entry, Judge, Said, hundredths};
use crate::check::budget_rules::overload::RULE;
use crate::inventory::Column;

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::PathLoss], judge: Judge::Light(check), say };

fn check(near: &At<'_>, far: &At<'_>, allowed: &Allowed) -> Option<Detail> {
    let (loss, min) = (super::levels::loss(near, far)?, allowed.min?);
    (loss < min).then(|| (hundredths(loss.value()), hundredths(min.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "from `{}`: {} dB lost, at least {} dB needed",
            said.far_port(),
            said.first(),
            said.second()
        ),
        String::new(),
    )
}
