//! `fit.pon-port`: a PON optic in another port, or another optic in a PON port.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::plan::PortKind;
use crate::tables::{Role, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.pon-port",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a PON optic sits in a port that is no PON port, or the reverse",
    why: "an OLT optic sends a strong continuous level and receives bursts: it can harm the far receiver of a link and never locks to it; a PON port cannot drive another optic, even one of the same wavelengths",
    remedy: "take the optic out, then use one that the port is made for; do not connect it meanwhile",
    source: "ITU-T G.984.2 and IEEE 802.3 clause 60 (burst-mode receivers), from memory; common practice",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, _: &Tables) -> Outcome {
    let Some(optic) = side.optic else { return Outcome::Idle };
    if side.kind == PortKind::Ont {
        return Outcome::Idle;
    }
    if side.card.is_none() {
        return Outcome::Missing("a known card");
    }
    if !is_other_kind(side) {
        return Outcome::Fits;
    }
    let card = side.card.map_or("", |card| card.key.as_str());
    let ports = if optic.role == Role::Olt { "has no PON ports" } else { "has PON ports" };
    Outcome::hit(format!("{} ({}) in card `{card}`, which {ports}", optic.name, optic.role.word()))
}

/// Whether optic and port differ in being of a PON. An ONU in a pluggable module is welcome in a
/// port that is none.
fn is_other_kind(side: &Side<'_>) -> bool {
    let (Some(optic), Some(card)) = (side.optic, side.card) else { return false };
    match optic.role {
        Role::Olt => !card.value.pon,
        Role::Onu | Role::Peer => card.value.pon,
    }
}
