//! `plan.empty`: a file holds nothing.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.empty",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a file holds nothing",
    why: "an answer about nothing would look like an answer about a plant",
    remedy: "check that it is the right file and that it was saved",
    source: "common practice",
};
