//! `memory.beyond-warning`: a reading beyond the module's own warning threshold.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Limit, Memory};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.beyond-warning",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "a reading lies beyond the module's own warning threshold",
    why: "the module still works as promised, but near the edge of it",
    remedy: "write the reading down and look again after cleaning, or when it is cooler",
    source: "SFF-8472, SFF-8636 and CMIS warning thresholds, restated in public texts",
};

/// Hits of the rule in a memory.
pub fn check(memory: &Memory, at: Origin, findings: &mut Vec<Finding>) {
    super::crossings(memory, &RULE, [Limit::HighWarning, Limit::LowWarning], at, findings);
}
