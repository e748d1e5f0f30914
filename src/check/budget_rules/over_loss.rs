//! `budget.over-loss`: more is lost than the optics allow, at worst and in all likelihood.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.over-loss",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the loss is greater than the optics allow",
    why: "the receiver gets too little light: the link fails or drops at random",
    remedy: "lose less (fewer or better joints, a smaller split, a shorter way) or take optics of a higher class",
    source: "ITU-T G.984.2, G.9807.1 and IEEE 802.3 loss budgets",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| view.lacks(end) == Some(true)) {
        let worst = group.worst_by_margin();
        let message = format!(
            "{} lose{} more than the optics allow; worst {}: {} lost, {} allowed, {} short",
            group.count_words(),
            group.third_person(),
            view.end_name(worst),
            worst.most.rounded_up(),
            view.max(worst),
            view.short(worst),
        );
        findings.push(group.hit_at(worst, &RULE, message).hint(view.decides(worst)));
    }
}
