//! `plan.wrong-type`: a map, a list or a single value stands where another of them belongs.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.wrong-type",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a map, a list or a single value stands where another of them belongs",
    why: "what is meant cannot be told",
    remedy: "check indentation, dashes and braces",
    source: "common practice",
};
