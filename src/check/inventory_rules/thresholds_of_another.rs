//! `inventory.thresholds-of-another`: the thresholds do not belong to the recorded optic.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Profile};
use crate::units::Decibels;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.thresholds-of-another",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "the thresholds do not belong to the recorded optic",
    why: "alarms inherited from another part come too late or never",
    remedy: "set the thresholds of this optic",
    source: "common practice: 3 dB above overload, 6 dB under the least level",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::RxLowAlarm], judge: Judge::Words(check), say };

fn check(profile: &Profile) -> bool {
    let Some(optic) = &profile.optic else { return false };
    let [low, _, _, high] = profile.thresholds;
    let late_low =
        low.zip(optic.receive_least).is_some_and(|(low, least)| low < least - Decibels::new(6.0));
    let late_high =
        high.zip(optic.overload).is_some_and(|(high, most)| high > most + Decibels::new(3.0));
    late_low || late_high
}

fn say(said: &Said<'_>) -> (String, String) {
    let (low, high) = (said.quoted(Column::RxLowAlarm), said.quoted(Column::RxHighAlarm));
    let optic = said.interface();
    let range = optic.and_then(|optic| optic.receive_least.zip(optic.overload));
    let range = range.map_or_else(String::new, |(least, most)| {
        format!(", which receives {:.2} to {:.2} dBm", least.value(), most.value())
    });
    let module = said.shown(Column::Module);
    (format!("alarms at {low} and {high} are not those of `{module}`{range}"), String::new())
}
