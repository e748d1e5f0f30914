//! `budget.reserve-not-kept`: the worst case closes but eats the design reserve.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.reserve-not-kept",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the worst case closes but does not keep the design reserve",
    why: "the reserve is there for repairs, moves and ageing; without it the first repair may end the service",
    remedy: "gain what is missing, or lower the reserve knowingly",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| view.eats_reserve(end)) {
        let worst = group.worst_by_margin();
        let message = format!(
            "{} keep{} less than the reserve of {}; worst {}: margin {}",
            group.count_words(),
            group.third_person(),
            view.plan.assumptions.reserve,
            view.end_name(worst),
            view.margin(worst),
        );
        findings.push(group.hit_at(worst, &RULE, message).hint(view.decides(worst)));
    }
}
