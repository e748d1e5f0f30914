//! `plan.unknown-key`: a key means nothing where it stands.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unknown-key",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a key means nothing where it stands",
    why: "what it says would silently be left out of every sum",
    remedy: "correct the spelling, or move the key to where it belongs",
    source: "common practice",
};
