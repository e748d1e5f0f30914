//! `plan.bad-count`: a number of pieces, positions or splices is not a whole number in its range.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.bad-count",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a number of pieces, positions or splices is not a whole number in its range",
    why: "a count that is cut off or negative would change every sum that it enters",
    remedy: "write a whole number without a unit; the message gives the range",
    source: "common practice",
};
