//! `memory.threshold-order`: thresholds out of order.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::memory::{Limit, Memory};
use crate::place::Origin;

/// The rule.
pub static RULE: Rule = Rule {
    id: "memory.threshold-order",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "alarm and warning thresholds of a module are out of order",
    why: "the module would raise alarms on healthy readings or none on sick ones; whoever watches it is misled",
    remedy: "ignore the module's flags for this quantity and judge its readings by the data sheet",
    source: "SFF-8472, SFF-8636 and CMIS: low alarm, low warning, high warning, high alarm, in rising order (common practice)",
};

/// Hits of the rule in a memory.
pub fn check(memory: &Memory, at: Origin, findings: &mut Vec<Finding>) {
    let Ok(diagnostics) = &memory.diagnostics else { return };
    for (quantity, limits) in diagnostics.thresholds.stated() {
        if limits.are_ordered() {
            continue;
        }
        let rising = [Limit::LowAlarm, Limit::LowWarning, Limit::HighWarning, Limit::HighAlarm];
        let shown = rising.map(|limit| format!("{} {}", limit.word(), limits.get(limit)));
        let message = format!("{}: {} do not rise", quantity.word(), shown.join(", "));
        findings.push(RULE.hit(at, quantity.word(), message));
    }
}
