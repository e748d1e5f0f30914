//! `budget.beyond-reach`: longer than the interface is specified for.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::tables::FiberKind;

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.beyond-reach",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the fiber is longer than the interface or class is specified for (an error on multimode fiber)",
    why: "beyond the stated reach nobody has promised that dispersion, modal bandwidth and timing still serve, even where the loss closes",
    remedy: "shorten the way, or take optics made for the distance",
    source: "IEEE 802.3 and ITU-T G.984.2, G.987.2, G.9807.1 reach",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| end.against.beyond_reach) {
        let farthest = group.farthest();
        let reach = view.reach_of(farthest);
        let message = format!(
            "{} {} longer than specified; farthest {}: {}{}",
            group.count_words(),
            if group.ends.len() == 1 { "is" } else { "are" },
            view.end_name(farthest),
            farthest.length,
            reach.map_or_else(String::new, |reach| format!(", reach {reach}")),
        );
        let mut finding = group.hit_at(farthest, &RULE, message);
        if view.assessment.pair(farthest).fiber_kind == FiberKind::Multimode {
            finding.severity = Severity::Error;
        }
        findings.push(finding);
    }
}
