//! `budget.joint-yield`: all ends of a PON together close less surely than asked.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.joint-yield",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the probability that all ends of a PON close together is below the asked confidence",
    why: "each end may look safe alone; with many of them the chance that one fails adds up",
    remedy: "gain margin at the worst ends, or accept that some of them will need a visit",
    source: "common practice (probability of a conjunction)",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let asked = view.plan.assumptions.confidence;
    for group in view.pons() {
        let Some(joint) = group.joint else { continue };
        if joint.both < asked {
            let name = view.port_name(group.port);
            let message = format!(
                "all {} ends behind `{name}` close together with {} ({} asked); {:.2} bad ends expected",
                group.served, joint.both, asked, joint.expected_failures
            );
            findings
                .push(RULE.hit(view.port_origin(group.port), name, message).about_ports([group.port]));
        }
    }
}
