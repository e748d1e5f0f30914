//! `budget.protects-nothing`: a port is to stand by for one whose receivers it does not reach.

use super::two_transmitters::meeting;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.protects-nothing",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a port is stated to protect another one, but reaches none of its receivers at its wavelength",
    why: "when the working port fails nobody is served: a fiber, an optic or the name of the port is wrong",
    remedy: "join both ports to the two inputs of the splitter, with optics of one kind, or take `protects` out",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    if view.plan.protections.is_empty() {
        return;
    }
    let meeting = meeting(view);
    for stated in &view.plan.protections {
        let (a, b) = (stated.standby, stated.working);
        if meeting.binary_search(&(a.min(b), a.max(b))).is_ok() {
            continue;
        }
        let (standby, working) = (view.port_name(stated.standby), view.port_name(stated.working));
        let message =
            format!("`{standby}` protects `{working}`, but their light reaches no receiver in common");
        findings.push(RULE.hit(stated.origin, standby, message));
    }
}
