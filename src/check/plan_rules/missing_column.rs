//! `plan.missing-column`: a CSV table lacks a column that its rows cannot do without.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.missing-column",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a CSV table lacks a column that its rows cannot do without",
    why: "none of its rows can be read",
    remedy: "add the column; the first line of the file names the columns",
    source: "common practice",
};
