//! `plan.missing-file`: a file or folder that is named is not there or cannot be opened.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.missing-file",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a file or folder that is named is not there or cannot be opened",
    why: "what it holds would silently be left out of every result",
    remedy: "mend the path: on the command line it counts from the folder in which the command runs, inside a file \
             from that file's folder",
    source: "common practice",
};
