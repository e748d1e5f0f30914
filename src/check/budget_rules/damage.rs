//! `budget.damage`: the receiver may be harmed.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.damage",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "more light may arrive than the receiver survives",
    why: "beyond the damage level a receiver is lost, not just deaf",
    remedy: "do not connect; put in an attenuator first and measure before plugging",
    source: "IEEE 802.3 damage thresholds (receiver characteristics tables)",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| view.damages(end)) {
        let worst = group.worst_by_headroom(view);
        let window = view.assessment.pair(worst).window;
        let arrives = window.launch[1].map(|launch| launch - worst.least);
        let message = format!(
            "{} may be harmed; worst {}: up to {} may arrive, the damage level is {}",
            group.count_words(),
            view.end_name(worst),
            arrives.map_or_else(String::new, |level| level.to_string()),
            window.damage.map_or_else(String::new, |level| level.to_string()),
        );
        findings.push(group.hit_at(worst, &RULE, message));
    }
}
