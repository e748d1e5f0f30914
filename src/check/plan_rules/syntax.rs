//! `plan.syntax`: a file cannot be read as what it claims to be.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.syntax",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "the file cannot be read as YAML or CSV",
    why: "nothing after the fault can be trusted to mean what it seems to mean",
    remedy: "mend the line that is shown; check indentation, quotes and brackets",
    source: "YAML 1.2.2; RFC 4180",
};
