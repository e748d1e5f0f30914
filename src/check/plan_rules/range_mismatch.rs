//! `plan.range-mismatch`: the two sides of a span or joint stand for different numbers of points.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.range-mismatch",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "the two sides of a span or joint stand for different numbers of points",
    why: "points are paired in order: some would stay without a partner",
    remedy: "give both sides the same number of points",
    source: "common practice",
};
