//! `fit.polish-mixed`: two polishes meet that do not belong together.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Mating;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.polish-mixed",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "an angled end face meets one that is not angled",
    why: "the faces touch on an edge: several dB are lost, much is reflected, and both faces are scratched",
    remedy: "never mate them; use a cord with the right polish at each end",
    source: "IEC 61755-1 end-face geometries; common practice",
};

/// Judges two end faces that meet.
pub fn judge(mating: &Mating<'_>, tables: &Tables) -> Outcome {
    let polish = |name: &Option<String>| name.as_deref().and_then(|name| tables.polishes.get(name));
    let (Some(first), Some(second)) = (polish(&mating.first.polish), polish(&mating.second.polish))
    else {
        return Outcome::Missing("the polish of every plug and coupling");
    };
    if first.value.mates_with.contains(&second.key) {
        return Outcome::Fits;
    }
    let (a, b) = (&mating.first_of, &mating.second_of);
    Outcome::hit(format!("{a} is {}, {b} is {}", first.key, second.key))
}
