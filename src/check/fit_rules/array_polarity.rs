//! `fit.array-polarity`: the array cords do not lead the transmitters to the receivers.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::array::{leads_to_receivers, positions};
use crate::fit::broken_out::is_broken_out;
use crate::fit::facts::{Side, Way};
use crate::plan::Polarity;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.array-polarity",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the array cords and trunks do not lead every transmitter to the receiver of its lane",
    why: "parallel optics send on the first positions and receive on the last: the cords together must reverse the order",
    remedy: "exchange one cord for one of the other type: an odd number of type B leads transmitters to receivers",
    source: "TIA-568.3 (types A, B, C), from memory and restated in public texts",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, way: &Way<'_>, tables: &Tables) -> Outcome {
    let interface = |side: &Side<'_>| side.optic.and_then(|optic| optic.interface(tables));
    let (Some(a), Some(b)) = (interface(near), interface(far)) else { return Outcome::Idle };
    if a.value.fibers <= 2 || b.value.fibers <= 2 || is_broken_out(near, far, tables) {
        let stated = way.arrays.iter().any(Option::is_some);
        let lanes = Outcome::Missing("how the breakout cord leads its lanes");
        return if stated { lanes } else { Outcome::Idle };
    }
    if way.arrays.is_empty() || way.arrays.iter().any(Option::is_none) {
        return Outcome::Missing("the polarity of every array cord on the way");
    }
    let pieces: Vec<Polarity> = way.arrays.iter().copied().flatten().collect();
    // Half of the fibers send, half receive; the rest of the positions are dark.
    let lanes = a.value.fibers / 2;
    if leads_to_receivers(&pieces, lanes, positions(a.value.fibers)) {
        return Outcome::Fits;
    }
    let types: Vec<&str> = pieces.iter().map(|piece| piece.word()).collect();
    Outcome::hit(match types.as_slice() {
        [one] => format!("a cord of type {one} does not lead transmitters to receivers"),
        several => {
            let several = several.join(", ");
            format!("cords of types {several} in this order do not lead transmitters to receivers")
        }
    })
}
