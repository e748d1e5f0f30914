//! `budget.class-minimum`: less loss than the class states, though the levels stand it.

use crate::budget::End;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.class-minimum",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "the least loss is below what the class states, although the receiver stands the level",
    why: "the plant lies outside the class; another maker's optic of the same class need not stand it",
    remedy: "nothing, or an attenuator if optics may be exchanged",
    source: "ITU-T G.984.2 Amd 2 (class C+ downstream has 2 dB more overload than its loss range needs; from memory)",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let below = |end: &End| {
        let window = view.assessment.pair(end).window;
        let stated = window.stated_min.is_some_and(|min| end.least.value() < min.value() - 1e-9);
        end.missing.is_none() && stated && !view.overloads(end)
    };
    for group in view.ends_where(below) {
        let least = group.worst_by_headroom(view);
        let window = view.assessment.pair(least).window;
        let message = format!(
            "{}: least loss {} is below the class minimum of {}",
            view.end_name(least),
            least.least.rounded_down(),
            window.stated_min.map_or_else(String::new, |min| min.to_string()),
        );
        findings.push(group.hit_at(least, &RULE, message));
    }
}
