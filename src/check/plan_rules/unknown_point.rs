//! `plan.unknown-point`: a connection point does not exist.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unknown-point",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a connection point does not exist",
    why: "the fiber would end nowhere: its light path cannot be followed",
    remedy: "correct the name, or describe the device",
    source: "common practice",
};
