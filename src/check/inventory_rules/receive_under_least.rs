//! `inventory.receive-under-least`: the receiver reads less light than it needs.

use super::facts::hundredths;
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.receive-under-least",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the receiver reads less light than it needs",
    why: "errors now or at the next splice",
    remedy: "clean, measure, find the loss",
    source: "IEEE 802.3 and ITU-T receive limits",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::Rx], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let limit = at.profile.optic.as_ref()?.receive_least?;
    (at.row.receive()? < limit).then(|| (i32::from(at.row.rx), hundredths(limit.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "receives {} dBm; `{}` needs at least {} dBm",
            said.first(),
            said.shown(Column::Module),
            said.second()
        ),
        String::new(),
    )
}
