//! `budget.overload`: too much light may arrive.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.overload",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "too much light may arrive",
    why: "an overloaded receiver makes errors and may be harmed for good",
    remedy: "put in an attenuator that both directions stand, or take optics of a lower class",
    source: "ITU-T G.984.2, G.9807.1 and IEEE 802.3 overload limits",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| view.overloads(end)) {
        let worst = group.worst_by_headroom(view);
        let pair = view.assessment.pair(worst);
        let message = format!(
            "{} may get too much light; worst {}: least loss {}, at least {} needed, {} too hot",
            group.count_words(),
            view.end_name(worst),
            worst.least.rounded_down(),
            pair.window.min.map_or_else(String::new, |min| min.to_string()),
            worst.headroom(&pair.window).map_or_else(String::new, |h| (-h).rounded_up().to_string()),
        );
        findings.push(group.hit_at(worst, &RULE, message));
    }
}
