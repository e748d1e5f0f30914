//! `budget.no-light`: no light of its own system reaches an optic.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.no-light",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "no transmitter that belongs to it reaches this optic",
    why: "the end would stay dark",
    remedy: "check the way from the far end: a missing span, a wrong leg, a wdm element that does not pass its wavelength",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for dark in view.assessment.dark.iter().filter(|dark| dark.attached) {
        if view.assessment.pairs.optic(dark.optic).is_none() {
            continue;
        }
        let device = &view.plan.ports[dark.port as usize];
        let name = view.plan.names.get(device.name);
        let message = format!("no light that `{}` can use reaches `{name}`", view.optic_name(dark.optic));
        findings.push(RULE.hit(device.origin, name, message));
    }
}
