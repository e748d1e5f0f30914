//! `table.tap-ratio`: the losses of a tap imply another ratio than its name.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.tap-ratio",
    severity: Severity::Warning,
    concern: Concern::Input,
    what: "the losses of a tap imply another ratio than its name",
    why: "one of the two losses is probably misprinted; along a chain of taps the error adds up",
    remedy: "check both losses against the data sheet of the tap",
    source: "ratio = T_tap / (T_tap + T_through) within 1.5 points of the label; common practice",
};
