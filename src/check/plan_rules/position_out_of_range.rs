//! `plan.position-out-of-range`: a panel or splice case does not have the position that is named.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.position-out-of-range",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a panel or splice case does not have the position that is named",
    why: "the fiber would end at a coupling that does not exist",
    remedy: "mend the position, or the number of positions",
    source: "common practice",
};
