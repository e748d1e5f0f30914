//! `inventory.receive-below-expected`: a receiver reads less than the far transmitter and the path leave.

use super::facts::hundredths;
use super::facts::{At, Detail, Entry, Judge, Said};
use super::levels::excess;
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.receive-below-expected",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a receiver reads less than the far transmitter and the path leave",
    why: "dirt, a bend or a wrong path in this direction",
    remedy: "clean both ends, then measure this direction",
    source: "common practice; SFF-8472 meter error 3 dB each, as the root of the sum of squares",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Rx, Column::PathLoss], judge: Judge::Receiver(check), say };

fn check(near: &At<'_>, far: &At<'_>) -> Option<Detail> {
    let (excess, off) = excess(near, far)?;
    (excess.value() > off.value()).then(|| (hundredths(excess.value()), hundredths(off.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "receives `{}` from `{}`: {} dB less than expected, meters may err by {} dB",
            said.shown(Column::Rx),
            said.far_port(),
            said.first(),
            said.second()
        ),
        String::new(),
    )
}
