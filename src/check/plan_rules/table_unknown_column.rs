//! `table.unknown-column`: a column of a table has a name that the table does not know, or stands twice.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.unknown-column",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a column of a table has a name that the table does not know, or stands twice",
    why: "its values would silently not be used",
    remedy: "use the column names of the built-in table of the same name",
    source: "common practice",
};
