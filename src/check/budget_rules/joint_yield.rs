//! `budget.joint-yield`: all ends of a PON together close less surely than asked.

use crate::budget::{End, Group};
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::units::{Decibels, Probability};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.joint-yield",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the probability that all ends of a PON close together is below the asked confidence",
    why: "each end may look safe alone; with many of them the chance that one fails adds up",
    remedy: "give the least sure ends more room, or accept that some of them will need a visit",
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
                "all {} ends behind `{name}` ({}) close together with {} ({asked} asked); {} bad ends expected",
                group.served,
                view.optic_name(group.optic),
                joint.both,
                few(joint.expected_failures)
            );
            let finding = RULE.hit(view.port_origin(group.port), name, message);
            findings.push(finding.hint(advice(*view, group)).about_ports([group.port]));
        }
    }
}

/// A number of ends that is never shown as none.
fn few(expected: f64) -> String {
    match expected {
        less if less < 0.001 => "fewer than 0.001".to_string(),
        less if less < 0.1 => format!("{less:.3}"),
        more => format!("{more:.2}"),
    }
}

/// What would help the least sure end: more loss where too much light arrives, else margin.
fn advice(view: View<'_>, group: &Group) -> String {
    let ends = &view.assessment.ends[group.ends.clone()];
    let closes = |end: &End| end.statistics.and_then(|s| s.closes).map(Probability::value);
    let known = ends.iter().filter_map(|end| Some((closes(end)?, end)));
    let Some((_, least)) = known.min_by(|a, b| a.0.total_cmp(&b.0)) else { return String::new() };
    let window = view.assessment.pair(least).window;
    let number = |value: Option<Decibels>| value.map_or(f64::INFINITY, Decibels::value);
    let (margin, headroom) = (least.margin(&window), least.headroom(&window));
    let helps = if number(headroom) < number(margin) {
        "too much light may arrive there: more loss helps (a pad), margin does not"
    } else {
        "too little light may arrive there: less loss on its way helps"
    };
    let yields = least.statistics.and_then(|s| s.closes).map_or_else(String::new, |p| p.to_string());
    format!("least sure: {} closes with {yields}; {helps}", view.end_name(least))
}
