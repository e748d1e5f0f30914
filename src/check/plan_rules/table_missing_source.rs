//! `table.missing-source`: a row of a table does not say where its numbers come from.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.missing-source",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a row of a table does not say where its numbers come from",
    why: "a result is worth what its numbers are worth; nobody can check a number without a source",
    remedy: "fill in `source` (document, edition, clause) and `provenance` (published, common-practice, memory, invented-demo or user)",
    source: "common practice",
};
