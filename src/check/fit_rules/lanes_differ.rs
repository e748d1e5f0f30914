//! `fit.lanes-differ`: the two ends divide the signal over different lanes.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::broken_out::is_broken_out;
use crate::fit::facts::{Side, Way};
use crate::tables::{Band, Interface, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.lanes-differ",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the two ends divide the signal over different lanes",
    why: "both are of one rate and reach by name, and yet the wavelengths or fibers of the one are not those of the other",
    remedy: "use the same interface type at both ends; only a broken-out parallel optic faces single-lane ones",
    source: "IEEE 802.3 clauses of the interfaces; public notes on wavelength grids of 100G 10 km optics",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    let interface = |side: &Side<'_>| side.optic.and_then(|optic| optic.interface(tables));
    let (Some(a), Some(b)) = (interface(near), interface(far)) else { return Outcome::Idle };
    if is_broken_out(near, far, tables) {
        return Outcome::Idle;
    }
    let (a_lanes, b_lanes) = (a.value.lanes, b.value.lanes);
    if a_lanes != b_lanes {
        return Outcome::hit(format!("{} has {a_lanes} lanes, {} {b_lanes}", a.key, b.key));
    }
    if a_lanes > 1 && grids_differ(&a.value, &b.value) {
        let message = format!("the lanes of {} lie on other wavelengths than those of {}", a.key, b.key);
        return Outcome::hit(message);
    }
    Outcome::Fits
}

/// Whether a lane of one end is sent where the other end has none: their grids are unlike.
fn grids_differ(a: &Interface, b: &Interface) -> bool {
    let met = |band: &Band, others: &[Band]| {
        others.is_empty()
            || others
                .iter()
                .any(|other| band.shortest <= other.longest && other.shortest <= band.longest)
    };
    let all_met = a.transmit.iter().all(|band| met(band, &b.transmit))
        && b.transmit.iter().all(|band| met(band, &a.transmit));
    !all_met
}
