//! `plan.bad-ratio`: a split ratio cannot be read or contradicts itself.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.bad-ratio",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a split ratio cannot be read or contradicts itself",
    why: "the legs of the element and their loss follow from the ratio",
    remedy: "write `1x32` or `2x16` for a splitter, `90/10` (through, then tap) for a tap",
    source: "common practice",
};
