//! `plan.unconnected`: a port with an optic but without a fiber.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.unconnected",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a port has an optic but no fiber is attached",
    why: "an optic without a fiber is a forgotten span, or stock in the wrong place; its port is a possible open laser end",
    remedy: "attach a span, or leave the optic out of the plan",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let dark = view.assessment.dark.iter().filter(|dark| !dark.attached);
    let mut ports: Vec<u32> = dark.map(|dark| dark.port).collect();
    ports.dedup();
    for port in ports {
        let device = &view.plan.ports[port as usize];
        if !device.connected {
            continue;
        }
        let name = view.plan.names.get(device.name);
        findings.push(
            RULE.hit(device.origin, name, format!("no fiber is attached to `{name}`"))
                .about_ports([port]),
        );
    }
}
