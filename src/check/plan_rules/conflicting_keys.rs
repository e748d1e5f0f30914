//! `plan.conflicting-keys`: two keys stand together that exclude each other.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.conflicting-keys",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "two keys stand together that exclude each other",
    why: "it cannot be told which of the two is meant",
    remedy: "keep one of them",
    source: "common practice",
};
