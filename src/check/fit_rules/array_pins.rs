//! `fit.array-pins`: two pinned or two unpinned array plugs meet.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Mating;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.array-pins",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two array plugs with pins meet, or two without",
    why: "pins against pins crush the faces; without pins nothing holds the fibers in line",
    remedy: "pins belong to exactly one of the two; a module has them, so its cord has none",
    source: "IEC 61754-7; common practice, from memory",
};

/// Judges two end faces that meet.
pub fn judge(mating: &Mating<'_>, _: &Tables) -> Outcome {
    if mating.first.is_array() == Some(false) || mating.second.is_array() == Some(false) {
        return Outcome::Idle;
    }
    let (a, b) = (&mating.first_of, &mating.second_of);
    match (mating.first.pinned, mating.second.pinned) {
        (Some(true), Some(true)) => Outcome::hit(format!("{a} and {b} both have pins")),
        (Some(false), Some(false)) => Outcome::hit(format!("neither {a} nor {b} has pins")),
        (Some(_), Some(_)) => Outcome::Fits,
        _ if mating.first.is_array() == Some(true) && mating.second.is_array() == Some(true) => {
            Outcome::Missing("which array plugs have pins")
        }
        _ => Outcome::Idle,
    }
}
