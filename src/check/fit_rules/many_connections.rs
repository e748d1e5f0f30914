//! `fit.many-connections`: four-level signals over many connectors.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::{FiberKind, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.many-connections",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "a four-level signal passes many connectors",
    why: "each pair of connectors reflects to and fro, and four levels lie three times closer than two",
    remedy: "use angled connectors, or know that every one of them reflects less than -45 dB",
    source: "IEEE 802.3 clause 140 and 151 (reflectance tables by number of connections), from memory",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, _: &Side<'_>, way: &Way<'_>, tables: &Tables) -> Outcome {
    const FEW: u32 = 4;
    let Some(row) = near.optic.and_then(|optic| optic.interface(tables)) else { return Outcome::Idle };
    let single_mode = row.value.fiber_kind == FiberKind::SingleMode;
    if !row.value.modulation.starts_with("PAM4") || !single_mode {
        return Outcome::Idle;
    }
    match way.connections {
        None => Outcome::Missing("how many connectors stand on the way"),
        Some(count) if count > FEW => {
            Outcome::hit(format!("{} ({}) over {count} connectors", row.key, row.value.modulation))
        }
        Some(_) => Outcome::Fits,
    }
}
