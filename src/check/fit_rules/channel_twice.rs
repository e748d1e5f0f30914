//! `fit.channel-twice`: two optics send the same wavelength into one mux.

use std::collections::BTreeMap;

use super::mux_port::trace_from;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::loss::AtWavelength;
use crate::plan::PointRef;
use crate::plant::Tracer;
use crate::tables::{Band, Role};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.channel-twice",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two optics send overlapping wavelengths into one wdm element",
    why: "only one of them can pass, or both disturb each other on the common fiber",
    remedy: "give each optic at the element a channel of its own",
    source: "ITU-T G.694.1 and G.694.2",
};

/// Hits of the rule in a judged plan: one for each two optics.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    if view.plan.wdm_elements.is_empty() {
        return;
    }
    let mut tracer = Tracer::new(view.plant);
    let mut senders: BTreeMap<u32, Vec<(u32, Band)>> = BTreeMap::new();
    for port in 0..view.plan.ports.len() as u32 {
        for optic in view.assessment.pairs.of_port(view.plan, port) {
            let Some(optic) = view.assessment.pairs.optic(*optic) else { continue };
            if optic.role != Role::Peer {
                continue;
            }
            for band in &optic.transmit {
                let at = AtWavelength::new(view.plan, view.tables, *band);
                let Some(trace) = trace_from(view, port, &at, &mut tracer) else { continue };
                let leg = trace.visits.iter().find_map(|visit| match visit.point {
                    PointRef::WdmLeg { element, .. } => Some(element),
                    PointRef::WdmCommon(_) => Some(u32::MAX),
                    _ => None,
                });
                if let Some(element) = leg.filter(|element| *element != u32::MAX) {
                    senders.entry(element).or_default().push((port, *band));
                }
            }
        }
    }
    for (element, senders) in senders {
        for (index, (port, band)) in senders.iter().enumerate() {
            let meets = |other: &Band| band.shortest <= other.longest && other.shortest <= band.longest;
            let before = senders[..index].iter().find(|(other, known)| other != port && meets(known));
            let Some((other, _)) = before else { continue };
            let element = view.plan.names.get(view.plan.wdm_elements[element as usize].name);
            let (name, other) = (view.port_name(*port), view.port_name(*other));
            let at = band.nominal;
            let message = format!("`{other}` and `{name}` both send {at} into `{element}`");
            findings.push(RULE.hit(view.port_origin(*port), format!("{other} and {name}"), message));
        }
    }
}
