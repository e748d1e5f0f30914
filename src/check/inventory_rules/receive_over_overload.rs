//! `inventory.receive-over-overload`: the receiver reads more light than it stands.

use super::facts::hundredths;
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.receive-over-overload",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the receiver reads more light than it stands",
    why: "errors now, harm in the long run",
    remedy: "put in an attenuator",
    source: "IEEE 802.3 and ITU-T overload limits",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::Rx], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let limit = at.profile.optic.as_ref()?.overload?;
    (at.row.receive()? > limit).then(|| (i32::from(at.row.rx), hundredths(limit.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "receives {} dBm; `{}` stands at most {} dBm",
            said.first(),
            said.shown(Column::Module),
            said.second()
        ),
        String::new(),
    )
}
