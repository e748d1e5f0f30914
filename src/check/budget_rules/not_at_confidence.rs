//! `budget.not-at-confidence`: the worst case closes, but not as surely as asked.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.not-at-confidence",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the sum of the greatest losses closes, but the loss at the asked confidence does not",
    why: "the greatest loss of a connector grade is one that 97 % of matings keep: with few joints, one bad mating goes beyond the sum",
    remedy: "gain some margin, or measure the joints after they are made",
    source: "IEC 61755-1 (grades state a mean and a 97 % figure; from memory)",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| view.closes_only_by_sum(end)) {
        let worst = group.worst_by_margin();
        let at_confidence =
            worst.statistics.map_or_else(String::new, |s| s.judged().rounded_up().to_string());
        let message = format!(
            "{} close{} by the sum only; worst {}: sum {}, {at_confidence} at the asked confidence, {} allowed",
            group.count_words(),
            group.third_person(),
            view.end_name(worst),
            worst.most.rounded_up(),
            view.max(worst),
        );
        findings.push(group.hit_at(worst, &RULE, message));
    }
}
