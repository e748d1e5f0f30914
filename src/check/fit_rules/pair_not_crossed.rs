//! `fit.pair-not-crossed`: transmitter meets transmitter.

use crate::budget::Anomaly;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.pair-not-crossed",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the transmitting side of a port is joined to the transmitting side of another",
    why: "both receivers stay dark; a pair must be crossed an odd number of times",
    remedy: "cross the pair at one place only, and record where",
    source: "TIA-568 duplex polarity (A to B); common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for anomaly in &view.assessment.anomalies {
        if let Anomaly::NotCrossed { port, far_port } = *anomaly {
            let (near, far) = (view.port_name(port), view.port_name(far_port));
            let message = format!("light of `{near}` arrives at the transmitting side of `{far}`");
            findings.push(
                RULE.hit(view.port_origin(far_port), format!("{near} to {far}"), message)
                    .about_ports([port, far_port]),
            );
        }
    }
}
