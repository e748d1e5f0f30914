//! `inventory.open-live-end`: a live end without a jumper sends more than hazard level 1.

use super::facts::hundredths;
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.open-live-end",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a live end without a jumper sends more than hazard level 1",
    why: "invisible light harms eyes; nobody expects it at a free port",
    remedy: "switch the laser off and cap the port before anything else",
    source: "IEC 60825-2 hazard levels",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry {
    rule: &RULE,
    needs: &[Column::Tx, Column::Jumper, Column::FramePort],
    judge: Judge::Row(check),
    say,
};

fn check(at: &At<'_>) -> Option<Detail> {
    let free =
        !at.row.has(flag::HAS_JUMPER | flag::FAR_WRITTEN) && at.row.frame == 0 && at.row.strand == 0;
    let (sent, nm) = (at.row.transmit()?, at.sends_at()?);
    if !free || at.profile.is_pon {
        return None;
    }
    let mut limits = at.sight.tables.hazard_levels.rows().iter().filter(|row| row.value.level == "1");
    let limit = limits.find(|row| row.value.band.0 <= nm && nm <= row.value.band.1)?.value.limit;
    (sent > limit).then(|| (i32::from(at.row.tx), hundredths(limit.value())))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "sends {} dBm and nothing is plugged; hazard level 1 ends at {} dBm",
            said.first(),
            said.second()
        ),
        "never look into the port; switch the laser off, cap it".to_string(),
    )
}
