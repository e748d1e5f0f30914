//! `plan.bad-quantity`: a quantity has no unit, the wrong unit, or lies out of its range.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.bad-quantity",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a quantity has no unit, the wrong unit, or lies out of its range",
    why: "a loss taken for a level, or feet for meters, gives a wrong answer that looks right",
    remedy: "write the number with its unit as the message shows",
    source: "common practice",
};
