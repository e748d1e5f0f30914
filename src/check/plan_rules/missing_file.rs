//! `plan.missing-file`: a file or folder that is named is not there or cannot be opened.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.missing-file",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a file or folder that is named is not there or cannot be opened",
    why: "what it holds would silently be left out of every sum",
    remedy: "mend the path; paths are relative to the plan file that names them",
    source: "common practice",
};
