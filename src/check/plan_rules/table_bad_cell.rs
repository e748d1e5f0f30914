//! `table.bad-cell`: a cell of a table does not hold what its column stands for.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.bad-cell",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a cell of a table does not hold what its column stands for",
    why: "a value taken for another, or for nothing, makes every sum that uses the row wrong",
    remedy: "write a plain number in the unit of the column head, or one of the words the column allows",
    source: "common practice",
};
