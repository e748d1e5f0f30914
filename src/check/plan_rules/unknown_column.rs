//! `plan.unknown-column`: a CSV table has a column that means nothing here.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unknown-column",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a CSV table has a column that means nothing here",
    why: "what it holds would silently be left out",
    remedy: "rename the column to the key that is meant, or take it out",
    source: "common practice",
};
