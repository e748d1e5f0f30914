//! `fit.core-size`: fibers of different core sizes follow one another.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::{FiberKind, FiberType, Row, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.core-size",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "multimode fibers of different core sizes follow one another",
    why: "from 62.5 to 50 um a part of the light finds no core: 2 to 5 dB in that direction, and nothing in the other",
    remedy: "use cords of the core size of the plant",
    source: "common practice; association handbooks, from memory",
};

/// Judges the way between two ends.
pub fn judge(_: &Side<'_>, _: &Side<'_>, way: &Way<'_>, _: &Tables) -> Outcome {
    let multimode = |fiber: &&&Row<FiberType>| fiber.value.kind == FiberKind::Multimode;
    let mut cores = way.fibers.iter().filter(multimode).filter_map(|fiber| fiber.value.core);
    let Some(first) = cores.next() else { return Outcome::Idle };
    if cores.all(|core| core == first) {
        return Outcome::Fits;
    }
    let names: Vec<&str> = way.fibers.iter().map(|fiber| fiber.key.as_str()).collect();
    Outcome::hit(format!("the way runs over {}", names.join(", then ")))
}
