//! `memory.beyond-alarm`: a reading beyond the module's own alarm threshold.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Limit, Memory};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.beyond-alarm",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a reading lies beyond the module's own alarm threshold",
    why: "the maker does not promise that the module works there, or lives; a dark receiver has no light, or no cord",
    remedy: "dark or weak: check that the far end sends, clean, measure; bright: add an attenuator; hot: look at the airflow",
    source: "SFF-8472, SFF-8636 and CMIS alarm thresholds, restated in public texts",
};

/// Hits of the rule in a memory.
pub fn check(memory: &Memory, at: Origin, findings: &mut Vec<Finding>) {
    super::crossings(memory, &RULE, [Limit::HighAlarm, Limit::LowAlarm], at, findings);
}
