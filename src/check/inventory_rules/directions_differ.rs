//! `inventory.directions-differ`: the two directions of a pair lose unlike much.

use super::facts::{At, Detail, Entry, Judge, Said, hundredths, two};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.directions-differ",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the two directions of a pair lose unlike much",
    why: "the same fiber route should lose the same both ways: one fiber is dirty or bent",
    remedy: "clean and measure the worse direction",
    source: "common practice; SFF-8472 meter error 3 dB each, as the root of the sum of squares",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Tx, Column::Rx], judge: Judge::Pair(check), say };

fn check(near: &At<'_>, far: &At<'_>) -> Option<Detail> {
    let there = far.row.transmit()? - near.row.receive()? - near.row.attenuator().unwrap_or_default();
    let back = near.row.transmit()? - far.row.receive()? - far.row.attenuator().unwrap_or_default();
    let bands = near.sends_at().zip(far.sends_at()).map_or(0.0, |(a, b)| (a.value() - b.value()).abs());
    // Between 1310 and 1550 nm fiber differs by some 0.15 dB/km.
    let length = near.length().or(far.length()).unwrap_or_default();
    let by_color = if bands > 30.0 { 0.2 * length.value() } else { 0.0 };
    let off = near.sight.limits.meters(4).value() + by_color;
    let differ = (there - back).value();
    (differ.abs() > off).then(|| (hundredths(differ), hundredths(off)))
}

fn say(said: &Said<'_>) -> (String, String) {
    let far = said.far_port();
    let (worse, better) =
        if said.detail.0 > 0 { ("from", "towards it") } else { ("towards", "from it") };
    let (more, off) = (two(said.detail.0.abs()), said.second());
    (
        format!("{more} dB more are lost {worse} `{far}` than {better}; meters may err by {off} dB"),
        String::new(),
    )
}
