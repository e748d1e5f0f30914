//! `plan.too-large`: a file, or what its ranges and aliases stand for, is larger than the most that is read.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.too-large",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a file, or what its ranges and aliases stand for, is larger than the most that is read",
    why: "a wrong file (an image, a log, a whole database) would eat the machine before the first finding",
    remedy: "check that it is the right file; split it if it is",
    source: "common practice",
};
