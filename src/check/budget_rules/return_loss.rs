//! `budget.return-loss`: too much light comes back.

use crate::budget::End;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.return-loss",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "more light comes back from joints than the class or interface allows",
    why: "reflections disturb the laser that sent the light and, twice reflected, the receiver",
    remedy: "use angled connectors near the transmitter; clean and inspect",
    source: "ITU-T G.984.2 and G.9807.1 (plant return loss 32 dB; restated in public texts); IEEE 802.3 optical return loss tolerance",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let low = |end: &End| {
        let limit = view.assessment.pair(end).min_return_loss;
        matches!((end.return_loss, limit), (Some(seen), Some(limit)) if seen.value() < limit.value() - 1e-9)
    };
    for group in view.ends_where(low) {
        let first = group.ends[0];
        let limit = view.assessment.pair(first).min_return_loss;
        let message = format!(
            "return loss of the joints seen from `{}` is {}, at least {} needed",
            view.port_name(first.transmitter),
            first.return_loss.map_or_else(String::new, |loss| loss.rounded_down().to_string()),
            limit.map_or_else(String::new, |limit| limit.to_string()),
        );
        findings.push(group.hit(&RULE, message));
    }
}
