//! `plan.impossible-measurement`: a splitter was measured to lose less than an ideal one.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::plan::Plan;
use crate::tables::SplitterType;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.impossible-measurement",
    severity: Severity::Error,
    concern: Concern::Input,
    what: "a splitter was measured to lose less than an ideal one",
    why: "its legs would carry more light than goes in: the reference of the measurement was bad, or the ratio is another",
    remedy: "measure again after referencing the meter; check the ratio",
    source: "conservation of energy: 10 log10 N, common practice",
};

/// Measured splitters that cannot be.
pub fn check(plan: &Plan, findings: &mut Vec<Finding>) {
    for device in &plan.splitters {
        let Some(measured) = device.measured.and_then(|index| plan.measured.get(index as usize)) else {
            continue;
        };
        let ideal = SplitterType::ideal(device.legs);
        for stated in &measured.values {
            if stated.loss + stated.uncertainty < ideal {
                let name = plan.names.get(device.name);
                let message = format!(
                    "`{name}` was measured to lose {} ± {}; a splitter of {} legs loses at least {ideal:.4}",
                    stated.loss.in_full(),
                    stated.uncertainty.in_full(),
                    device.legs
                );
                findings.push(RULE.hit(measured.origin, name, message));
            }
        }
    }
}
