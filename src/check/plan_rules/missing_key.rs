//! `plan.missing-key`: a key that cannot be done without is missing.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.missing-key",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a key that cannot be done without is missing",
    why: "nothing can be assumed in its place without guessing",
    remedy: "state it, or take the whole entry out",
    source: "common practice",
};
