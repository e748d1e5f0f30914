//! `fit.unlike-ends`: two optics face each other that have nothing in common.

use crate::budget::Anomaly;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.unlike-ends",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two optics face each other that cannot work together",
    why: "an OLT needs an ONU of its own system, an interface another interface",
    remedy: "put the right optic into one of the two ports, or mend the way between them",
    source: "ITU-T PON recommendations; IEEE 802.3",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut seen = rustc_hash::FxHashSet::default();
    for anomaly in &view.assessment.anomalies {
        if let Anomaly::UnlikeEnds { port, far_port, optic, far_optic } = *anomaly {
            if !seen.insert((port.min(far_port), port.max(far_port))) {
                continue;
            }
            let (near, far) = (view.port_name(port), view.port_name(far_port));
            let message = format!(
                "`{}` in `{near}` faces `{}` in `{far}`",
                view.optic_name(optic),
                view.optic_name(far_optic)
            );
            findings.push(RULE.hit(view.port_origin(far_port), far, message));
        }
    }
}
