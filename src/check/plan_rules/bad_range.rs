//! `plan.bad-range`: the brackets in a name are not a range of numbers.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.bad-range",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "the brackets in a name are not a range of numbers",
    why: "the names that are meant cannot be told",
    remedy: "write `[1-32]` or `[001-032]`, upwards, with the digits that the names have",
    source: "common practice",
};
