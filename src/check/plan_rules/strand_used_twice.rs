//! `plan.strand-used-twice`: one strand between two places carries two spans.

use crate::check::{Concern, Rule, Severity};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.strand-used-twice",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "one strand of a cable is used by two spans between the same places",
    why: "a strand is one fiber: sold twice, one of the two circuits does not exist",
    remedy: "give one of the spans another strand",
    source: "common practice",
};

/// A strand that is used already.
pub fn finding(cable: &str, strand: u32, first: &str, origin: Origin) -> crate::check::Finding {
    let message = format!(
        "strand {strand} of cable `{cable}` is used already between these places (first at {first})"
    );
    RULE.hit(origin, cable, message)
}
