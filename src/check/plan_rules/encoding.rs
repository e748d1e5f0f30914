//! `plan.encoding`: a file is not UTF-8 text.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.encoding",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a file is not UTF-8 text",
    why: "letters outside the alphabet of plain English would turn into others: two names could become one",
    remedy: "save the file again with the encoding UTF-8",
    source: "RFC 3629 (UTF-8)",
};
