//! `inventory.lanes-unlike`: the lanes of an optic receive unlike levels, or one is dark.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.lanes-unlike",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the lanes of an optic receive unlike levels, or one is dark",
    why: "one dirty fiber of an array, or one failing laser, stops the whole link",
    remedy: "clean the connector, then compare again",
    source: "common practice: 3 dB between lanes",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Rx], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    const UNLIKE: i16 = 300;
    let dark = at.row.has(flag::DARK_LANE);
    (at.row.spread > UNLIKE || dark).then_some((i32::from(at.row.spread), i32::from(dark)))
}

fn say(said: &Said<'_>) -> (String, String) {
    let lanes = said.shown(Column::Rx);
    let message = if said.detail.1 == 1 {
        format!("one lane is dark: `{lanes}`")
    } else {
        format!("the lanes differ by {} dB, more than 3 dB: `{lanes}`", said.first())
    };
    (message, String::new())
}
