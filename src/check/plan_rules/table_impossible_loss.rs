//! `table.impossible-loss`: a splitter or tap is stated to lose less than an ideal one.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.impossible-loss",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a splitter or tap is stated to lose less than an ideal one",
    why: "the legs would carry more light than goes in: the row is mistyped or taken from another ratio, and every margin behind it is too good",
    remedy: "check the figures against the data sheet; a splitter of N legs loses at least 10 log10 N dB",
    source: "conservation of energy: 10 log10 N, common practice",
};
