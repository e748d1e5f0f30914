//! `fit.channel-differs`: the two ends are set to different channels.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.channel-differs",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the two ends are set to different channels",
    why: "a mux pair has one channel for both directions on most systems; an optic on another channel then ends up on another port",
    remedy: "check that it is meant; otherwise set both ends to the channel of their mux ports",
    source: "common practice",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, way: &Way<'_>, tables: &Tables) -> Outcome {
    let duplex = |side: &Side<'_>| side.optic.is_some_and(|optic| optic.fibers(tables) > 1);
    let channel = |side: &Side<'_>| side.optic.and_then(|optic| optic.channel);
    // Where a wdm element stands on the way, the light itself has shown which leg it takes.
    if !duplex(near) || !duplex(far) || way.wdm == Some(true) {
        return Outcome::Idle;
    }
    match (channel(near), channel(far)) {
        (None, None) => Outcome::Idle,
        (Some(a), Some(b)) if a == b => Outcome::Fits,
        (Some(a), Some(b)) => Outcome::hit(format!("channel {} faces channel {}", a.name(), b.name())),
        _ => Outcome::Missing("the channel of both ends"),
    }
}
