//! `budget.no-light`: no light of its own system reaches an optic.

use std::collections::BTreeMap;

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
    let attached = view.assessment.dark.iter().filter(|dark| dark.attached);
    let known = attached.filter(|dark| view.assessment.pairs.optic(dark.optic).is_some());
    let mut by_optic: BTreeMap<u16, Vec<u32>> = BTreeMap::new();
    known.for_each(|dark| by_optic.entry(dark.optic).or_default().push(dark.port));
    findings.extend(
        by_optic
            .into_iter()
            .map(|(optic, ports)| of(view, optic, ports[0], ports.len()).about_ports(ports)),
    );
}

/// The finding about a dark port, which speaks for so many that have the same optic.
pub(crate) fn of(view: &View<'_>, optic: u16, port: u32, count: usize) -> Finding {
    let name = view.port_name(port);
    let more = if count > 1 { format!(" and {} more ports", count - 1) } else { String::new() };
    let message = format!("no light that `{}` can use reaches `{name}`{more}", view.optic_name(optic));
    RULE.hit(view.port_origin(port), name, message)
}
