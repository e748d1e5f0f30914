//! `plan.version`: the plan does not say which version of the format it is written in, or a version that is not known.

use crate::check::{Concern, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.version",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "the plan does not say which version of the format it is written in, or a version that is not known",
    why: "another version may mean other things by the same words",
    remedy: "begin the plan with `spanwright: 1`",
    source: "common practice",
};
