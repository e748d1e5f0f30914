//! `fit.mode-conditioning`: a mode-conditioning cord is missing, or stands where it does harm.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::Tables;
use crate::tables::conditioning::{needs_conditioning, takes_conditioning};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.mode-conditioning",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a mode-conditioning cord is missing, or stands where none belongs",
    why: "single-mode light launched into the middle of an older multimode fiber meets its profile defect and spreads; on OM3 and better, and on single-mode fiber, the cord only loses light",
    remedy: "one cord at each end, of the core size of the plant, its single-mode leg at the transmitter; none on OM3, OM4, OM5 or single-mode fiber",
    source: "IEEE 802.3 clauses 38, 53, 59, 68 (mode-conditioning cord), from memory; a public installation note",
};

/// Judges two ends that face each other, and the way between them.
pub fn judge(near: &Side<'_>, _: &Side<'_>, way: &Way<'_>, tables: &Tables) -> Outcome {
    let Some(row) = near.optic.and_then(|optic| optic.interface(tables)) else { return Outcome::Idle };
    let older = way.fibers.iter().any(|fiber| takes_conditioning(&fiber.key));
    let needs = needs_conditioning(&row.key);
    match (way.conditioning_cords, needs && older) {
        (Some(0), true) => {
            Outcome::hit(format!("{} on {} without a mode-conditioning cord", row.key, names(way)))
        }
        (None, true) => Outcome::Missing("whether mode-conditioning cords are used"),
        (Some(1..), false) if !way.fibers.is_empty() => {
            Outcome::hit(format!("{} on {} with a mode-conditioning cord", row.key, names(way)))
        }
        (Some(1..), true) => Outcome::Fits,
        _ => Outcome::Idle,
    }
}

fn names(way: &Way<'_>) -> String {
    way.fibers.iter().map(|fiber| fiber.key.as_str()).collect::<Vec<_>>().join(" and ")
}
