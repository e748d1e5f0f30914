//! `plan.unknown-row`: a reference table has no row of this name.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unknown-row",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a reference table has no row of this name",
    why: "there are no figures to count with",
    remedy: "use a name of the table, or lay a table of your own over it (`tables:`)",
    source: "common practice",
};
