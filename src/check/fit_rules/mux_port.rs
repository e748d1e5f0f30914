//! `fit.mux-port`: the leg of a wdm element does not pass the optic that is patched to it.

use rustc_hash::FxHashSet;

use crate::check::view::View;
use crate::check::walks::Walks;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::plan::PointRef;
use crate::tables::{Optic, Role};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.mux-port",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "an optic is patched to a leg of a wdm element that does not pass its wavelength",
    why: "the light ends in the filter: the far end stays dark although every cord is in place",
    remedy: "patch the optic to the leg of its channel, or use an optic of the channel of the leg",
    source: "ITU-T G.694.1 and G.694.2; the row of the element in the table `wdm-elements`",
};

/// Hits of the rule in a judged plan: one for each optic whose light ends at a leg.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    if view.plan.wdm_elements.is_empty() {
        return;
    }
    let mut walks = Walks::new(*view);
    for (port, optic) in unheard(view) {
        for band in &optic.transmit {
            let Some(trace) = walks.from(port, *band) else { continue };
            let stopped = trace.visits.iter().find_map(|visit| match visit.point {
                PointRef::WdmLeg { element, leg } if !walks.passes(*band, element, leg) => {
                    Some((element, leg, visit.point))
                }
                _ => None,
            });
            let Some((element, leg, point)) = stopped else { continue };
            let (name, point) = (view.port_name(port), view.plan.point_name(point));
            let message = format!("{} of `{}` in `{name}` ends at `{point}`", band.nominal, optic.name);
            let passes = passed(view, element, leg);
            let hint =
                if passes.is_empty() { String::new() } else { format!("that leg passes {passes}") };
            findings
                .push(RULE.hit(view.port_origin(port), name, message).hint(hint).about_ports([port]));
        }
    }
}

/// The optics whose light arrives at no port. What an ONU sends is walked from its OLT.
fn unheard<'a>(view: &View<'a>) -> Vec<(u32, &'a Optic)> {
    let ends = &view.assessment.ends;
    let sent: FxHashSet<(u32, u16)> =
        ends.iter().map(|end| (end.transmitter, view.assessment.pair(end).transmitter)).collect();
    let mut unheard = Vec::new();
    for port in 0..view.plan.ports.len() as u32 {
        for index in view.assessment.pairs.of_port(view.plan, port) {
            let Some(optic) = view.assessment.pairs.optic(*index) else { continue };
            if optic.role != Role::Onu && !sent.contains(&(port, *index)) {
                unheard.push((port, optic));
            }
        }
    }
    unheard
}

/// What a leg passes, in words.
pub(super) fn passed(view: &View<'_>, element: u32, leg: u16) -> String {
    let device = &view.plan.wdm_elements[element as usize];
    let Some(leg) = device.legs.get(usize::from(leg)) else { return String::new() };
    let rows = view.tables.wdm_elements.rows().iter().map(|row| &row.value);
    let mine = rows.filter(|row| row.element.eq_ignore_ascii_case(&device.kind) && row.leg == *leg);
    let bands: Vec<String> = mine.map(|row| format!("{} to {}", row.band.0, row.band.1)).collect();
    bands.join(" and ")
}
