//! `fit.channel-twice`: two optics send the same wavelength into one mux.

use super::mux_port::passed;
use crate::check::view::View;
use crate::check::walks::Walks;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::plan::PointRef;
use crate::tables::{Band, Role};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.channel-twice",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two optics send overlapping wavelengths into one wdm element",
    why: "only the one at the leg of the channel passes; the light of the other ends in the filter, and its far end stays dark",
    remedy: "give each optic at the element a channel of its own",
    source: "ITU-T G.694.1 and G.694.2",
};

/// An optic's light where it enters a wdm element.
struct Sender {
    port: u32,
    band: Band,
    element: u32,
    leg: u16,
    passes: bool,
}

/// Hits of the rule in a judged plan: one for each optic that is stopped by the leg it is patched to
/// while another one holds its channel. Of one whose channel is free speaks `fit.mux-port`.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    if view.plan.wdm_elements.is_empty() {
        return;
    }
    let senders = senders(view);
    for stopped in senders.iter().filter(|sender| !sender.passes) {
        let meets = |other: &&Sender| {
            let (a, b) = (other.band, stopped.band);
            other.passes && a.shortest <= b.longest && b.shortest <= a.longest
        };
        let holder = senders.iter().filter(|other| other.element == stopped.element).find(meets);
        let Some(holder) = holder else { continue };
        let Sender { port, band, element, leg, .. } = *stopped;
        let (name, other) = (view.port_name(port), view.port_name(holder.port));
        let point = view.plan.point_name(PointRef::WdmLeg { element, leg });
        let element_name = view.plan.names.get(view.plan.wdm_elements[element as usize].name);
        let message =
            format!("`{name}` sends {} into `{element_name}`, as `{other}` does", band.nominal);
        let passes = passed(view, element, leg);
        let hint = match passes.as_str() {
            "" => format!("`{name}` is patched to `{point}`"),
            passes => format!("`{name}` is patched to `{point}`, which passes {passes}"),
        };
        findings.push(
            RULE.hit(view.port_origin(port), name, message).hint(hint).about_ports([port, holder.port]),
        );
    }
}

/// The optics that are patched to a leg of a wdm element, in the order of the plan.
fn senders(view: &View<'_>) -> Vec<Sender> {
    let mut walks = Walks::new(*view);
    let mut senders = Vec::new();
    for port in 0..view.plan.ports.len() as u32 {
        for optic in view.assessment.pairs.of_port(view.plan, port) {
            let Some(optic) = view.assessment.pairs.optic(*optic) else { continue };
            if optic.role != Role::Peer {
                continue;
            }
            for band in &optic.transmit {
                let Some(trace) = walks.from(port, *band) else { continue };
                let mut elements = trace.visits.iter().map(|visit| visit.point);
                let first = elements
                    .find(|point| matches!(point, PointRef::WdmLeg { .. } | PointRef::WdmCommon(_)));
                if let Some(PointRef::WdmLeg { element, leg }) = first {
                    let passes = walks.passes(*band, element, leg);
                    senders.push(Sender { port, band: *band, element, leg, passes });
                }
            }
        }
    }
    senders
}
