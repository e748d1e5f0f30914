//! `plan.duplicate-key`: a key stands twice in the same map.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.duplicate-key",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a key stands twice in the same map",
    why: "one of the two values would silently be lost",
    remedy: "take one of them out, or rename it",
    source: "common practice",
};
