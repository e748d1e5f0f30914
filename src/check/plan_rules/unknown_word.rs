//! `plan.unknown-word`: a value is not one of the words that may stand there.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unknown-word",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a value is not one of the words that may stand there",
    why: "it cannot be told what is meant",
    remedy: "use one of the words that the message lists",
    source: "common practice",
};
