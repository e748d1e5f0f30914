//! `inventory.launch-out-of-class`: the transmit level cannot be that of the recorded optic.

use super::facts::hundredths;
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.launch-out-of-class",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the transmit level cannot be that of the recorded optic",
    why: "beyond the meter's error it is another optic, or a dying laser",
    remedy: "read type and level at the module",
    source: "IEEE 802.3 and ITU-T launch limits; SFF-8472 meter error 3 dB",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::Tx], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let (sent, optic) = (at.row.transmit()?, at.profile.optic.as_ref()?);
    let off = at.sight.limits.meter;
    let low = optic.launch[0].filter(|least| sent < *least - off);
    let high = optic.launch[1].filter(|most| sent > *most + off);
    let limit = low.or(high)?;
    Some((i32::from(at.row.tx), hundredths(limit.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    let side = if said.detail.0 < said.detail.1 { "least" } else { "most" };
    (
        format!(
            "transmits {} dBm; `{}` sends at {side} {} dBm, and more than a meter's error lies between",
            said.first(),
            said.shown(Column::Module),
            said.second()
        ),
        String::new(),
    )
}
