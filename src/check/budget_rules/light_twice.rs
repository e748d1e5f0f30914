//! `budget.light-twice`: light of one transmitter comes over two ways.

use crate::budget::Anomaly;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.light-twice",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "light of one transmitter reaches a point over two ways",
    why: "the two beams interfere and the level swings at random",
    remedy: "open one of the ways",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for anomaly in &view.assessment.anomalies {
        if let Anomaly::ReachedTwice { port, point } = *anomaly {
            let (from, at) = (view.port_name(port), view.plan.point_name(point));
            let message = format!("light of `{from}` reaches `{at}` over two ways");
            let subject = format!("{from} to {at}");
            findings
                .push(RULE.hit(view.plan.point_origin(point), subject, message).about_points([point]));
        }
    }
}
