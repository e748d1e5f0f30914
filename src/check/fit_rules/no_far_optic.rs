//! `fit.no-far-optic`: light reaches a port whose optic is not stated.

use crate::budget::Anomaly;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.no-far-optic",
    severity: Severity::Warning,
    concern: Concern::Datum,
    what: "light reaches a port without an optic",
    why: "nothing can be said of an end whose optic nobody has written down",
    remedy: "state the optic of the far port",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for anomaly in &view.assessment.anomalies {
        if let Anomaly::NoFarOptic { port, far_port } = *anomaly
            && view.plan.ports[far_port as usize].connected
        {
            let (near, far) = (view.port_name(port), view.port_name(far_port));
            let message = format!("light of `{near}` reaches `{far}`, which has no optic");
            findings.push(
                RULE.hit(view.port_origin(far_port), format!("{near} to {far}"), message)
                    .about_ports([far_port]),
            );
        }
    }
}
