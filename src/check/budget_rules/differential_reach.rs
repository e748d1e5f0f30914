//! `budget.differential-reach`: the nearest and the farthest ONU are too far apart.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.differential-reach",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the ends of a PON lie farther apart than its class allows",
    why: "an ONU outside the ranging window never registers",
    remedy: "feed the far ends from a port of their own, or configure the OLT for the longer window where the system allows it",
    source: "ITU-T G.984.2, G.984.7, G.987.2, G.9807.1",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.pons() {
        let Some(class) = view.class(group) else { continue };
        let (Some(limit), Some(difference)) = (class.differential_reach, group.differential_reach())
        else {
            continue;
        };
        if difference.value() > limit.value() + 1e-9 {
            let name = view.port_name(group.port);
            let message =
                format!("nearest and farthest end of `{name}` lie {difference} apart, {limit} allowed");
            findings
                .push(RULE.hit(view.port_origin(group.port), name, message).about_ports([group.port]));
        }
    }
}
