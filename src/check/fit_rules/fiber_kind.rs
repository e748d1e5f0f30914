//! `fit.fiber-kind`: single-mode optics on multimode fiber, or the reverse.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.fiber-kind",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the optics are made for another kind of fiber",
    why: "single-mode light in multimode fiber suffers modal noise; multimode light hardly enters single-mode fiber",
    remedy: "use the fiber the interface is made for, or a mode-conditioning cord where the standard allows one",
    source: "IEEE 802.3 clauses 38 and 59 (mode-conditioning cords), from memory",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| end.against.fiber_kind) {
        let first = group.ends[0];
        let pair = view.assessment.pair(first);
        let message = format!(
            "{}: `{}` is made for {} fiber, and the way has another",
            view.end_name(first),
            view.optic_name(pair.transmitter),
            pair.fiber_kind.word(),
        );
        findings.push(group.hit(&RULE, message));
    }
}
