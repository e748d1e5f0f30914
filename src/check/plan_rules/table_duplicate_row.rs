//! `table.duplicate-row`: two rows of a table go by the same name.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "table.duplicate-row",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "two rows of a table go by the same name",
    why: "which of the two is used would be chance",
    remedy: "remove one of them, or give it a name of its own",
    source: "common practice",
};
