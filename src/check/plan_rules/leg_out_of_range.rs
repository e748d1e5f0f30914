//! `plan.leg-out-of-range`: a splitter does not have the leg that is named.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.leg-out-of-range",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a splitter does not have the leg that is named",
    why: "the fiber would hang in the air; often the ratio, or the leg, is a slip",
    remedy: "mend the leg or the ratio of the splitter",
    source: "common practice",
};
