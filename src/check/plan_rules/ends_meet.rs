//! `plan.ends-meet`: a span from a point to itself.

use crate::check::{Concern, Rule, Severity};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.ends-meet",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a span has the same point at both ends",
    why: "a fiber joins two points",
    remedy: "name the far end",
    source: "common practice",
};

/// A span whose ends are one point.
pub fn finding(name: &str, origin: Origin) -> crate::check::Finding {
    RULE.hit(origin, name, format!("both ends of this span are `{name}`"))
}
