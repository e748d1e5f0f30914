//! `fit.plug-kind`: a plug does not go into what it is put into.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Mating;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.plug-kind",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a plug is of another kind than what it is put into",
    why: "it does not go in; forced, it breaks the sleeve",
    remedy: "use a cord with the right connector at each end",
    source: "IEC 61754 series",
};

/// Judges two end faces that meet.
pub fn judge(mating: &Mating<'_>, _: &Tables) -> Outcome {
    let (Some(first), Some(second)) = (&mating.first.connector, &mating.second.connector) else {
        return Outcome::Missing("the connector of every plug and coupling");
    };
    if first == second {
        return Outcome::Fits;
    }
    let (a, b) = (&mating.first_of, &mating.second_of);
    let message = format!("{a} is {first}, {b} is {second}");
    let offset = [first, second].iter().any(|kind| *kind == "MPO-16")
        && [first, second].iter().all(|kind| kind.starts_with("MPO"));
    if offset {
        return Outcome::hinted(
            message,
            "the key of a 16-fiber array is offset: 12-fiber cords do not go in",
        );
    }
    Outcome::hit(message)
}
