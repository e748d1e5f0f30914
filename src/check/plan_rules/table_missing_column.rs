//! `table.missing-column`: a table lacks a column that its rows cannot do without.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.missing-column",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a table lacks a column that its rows cannot do without",
    why: "no row of the table can be read",
    remedy: "add the column; the built-in table of the same name shows all columns",
    source: "common practice",
};
