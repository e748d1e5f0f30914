//! `fit.unlike-ends`: two optics face each other that have nothing in common.

use super::Outcome;
use crate::budget::Anomaly;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::{Optic, Role, Tables};

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

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    let (Some(a), Some(b)) = (near.optic, far.optic) else { return Outcome::Idle };
    let words = |optic: &Optic| format!("{} ({})", optic.name, optic.role.word());
    let faces = || format!("{} faces {}", words(a), words(b));
    match (a.role, b.role) {
        (Role::Peer, Role::Peer) => Outcome::Fits,
        (Role::Olt, Role::Onu) | (Role::Onu, Role::Olt) => {
            if a.system(tables) == b.system(tables) {
                Outcome::Fits
            } else {
                Outcome::hit(faces())
            }
        }
        _ => Outcome::hit(faces()),
    }
}

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
            findings.push(
                RULE.hit(view.port_origin(far_port), format!("{near} to {far}"), message)
                    .about_ports([far_port]),
            );
        }
    }
}
