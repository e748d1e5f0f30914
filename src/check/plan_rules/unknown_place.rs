//! `plan.unknown-place`: a device stands in a place that the plan does not have.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unknown-place",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a device stands in a place that the plan does not have",
    why: "maps, distances and work lists go by place",
    remedy: "add it under `places`, or correct the name",
    source: "common practice",
};
