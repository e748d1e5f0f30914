//! `budget.reserve-not-kept` over an inventory, with the loss or length that its rows state.

use super::facts::{Allowed, At, Detail, Entry, Judge, Said, hundredths, two};
use crate::check::budget_rules::reserve_not_kept::RULE;
use crate::inventory::Column;

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::PathLoss], judge: Judge::Light(check), say };

fn check(near: &At<'_>, far: &At<'_>, allowed: &Allowed) -> Option<Detail> {
    let (loss, max) = (super::levels::loss(near, far)?, allowed.max?);
    let short = loss <= max && loss + near.sight.limits.reserve > max;
    short.then(|| (hundredths(loss.value()), hundredths(max.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "from `{}`: {} dB lost of {} dB allowed: {} dB are left, less than the reserve",
            said.far_port(),
            said.first(),
            said.second(),
            two(said.detail.1 - said.detail.0)
        ),
        String::new(),
    )
}
