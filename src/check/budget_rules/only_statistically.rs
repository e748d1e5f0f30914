//! `budget.only-statistically`: the worst case does not close, the likely one does.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.only-statistically",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the worst case does not close, but the loss at the asked confidence does",
    why: "most such links work; a few will not, and nobody can say which before they are built",
    remedy: "decide whether that share of failures is acceptable, or gain what the worst case lacks",
    source: "ITU-T G.957 clause 8 (worst-case and statistical design), restated in public texts",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| view.lacks(end) == Some(false)) {
        let worst = group.worst_by_margin();
        let message = format!(
            "{} close{} only statistically; worst {}: worst case {} short, {} at the asked confidence against {} allowed",
            group.count_words(),
            group.third_person(),
            view.end_name(worst),
            view.short(worst),
            worst.statistics.map_or_else(String::new, |s| s.judged().rounded_up().to_string()),
            view.max(worst),
        );
        findings.push(group.hit_at(worst, &RULE, message).hint(view.decides(worst)));
    }
}
