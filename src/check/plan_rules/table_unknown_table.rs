//! `table.unknown-table`: a CSV file in a folder of own tables has the name of no table.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.unknown-table",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a CSV file in a folder of own tables has the name of no table",
    why: "its rows would silently not be used",
    remedy: "give it the name of the table it is laid over, or move it out of the folder",
    source: "common practice",
};
