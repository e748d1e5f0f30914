//! `plan.bad-id`: an id is empty, too long or holds a character that names cannot have.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.bad-id",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "an id is empty, too long or holds a character that names cannot have",
    why: "ids are joined with `/` to name points and go into file names, sheets and pages",
    remedy: "use letters, digits, blanks and `-_.#+`, at most 80 of them",
    source: "common practice",
};
