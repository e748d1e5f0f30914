//! `budget.two-transmitters`: two live transmitters at one wavelength on one plant.

use rustc_hash::FxHashMap;

use crate::budget::Direction;
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::units::Nanometers;

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.two-transmitters",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two OLT ports send at one wavelength to the same receivers",
    why: "both signals add up in every receiver and neither can be read; each port is judged as if the other were dark",
    remedy: "keep one of the two on this plant; where one stands by for the other, state it with `protects`",
    source: "common practice; ITU-T G.984.1 type B protection: one of the two feeds is live at a time",
};

/// What two transmitters have in common.
struct Shared {
    at: Nanometers,
    first: u32,
    receivers: usize,
}

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for ((a, b), shared) in &shared(view) {
        let stated =
            view.plan.protections.iter().any(|one| {
                (one.standby, one.working) == (*a, *b) || (one.working, one.standby) == (*a, *b)
            });
        if stated {
            continue;
        }
        let (one, other) = (view.port_name(*a), view.port_name(*b));
        let more = match shared.receivers {
            1 => String::new(),
            count => format!(" and {} more", count - 1),
        };
        let message = format!(
            "`{one}` and `{other}` both send at {} to `{}`{more}",
            shared.at,
            view.port_name(shared.first)
        );
        let hint = format!(
            "if one of them is dark until the other fails, state at `{other}`: `protects: {one}`"
        );
        findings.push(RULE.hit(view.port_origin(*b), other, message).hint(hint).about_ports([*a, *b]));
    }
}

/// Every two ports whose light at one wavelength reaches the same receiver, in the order of the plan.
fn shared(view: &View<'_>) -> Vec<((u32, u32), Shared)> {
    let mut found: Vec<((u32, u32), Shared)> = Vec::new();
    // Only a splitter with two inputs brings the light of two ports together.
    if view.plan.splitters.iter().all(|splitter| splitter.inputs < 2) {
        return found;
    }
    let mut index: FxHashMap<(u32, u32), usize> = FxHashMap::default();
    let mut senders: FxHashMap<u32, Vec<(u32, u32)>> = FxHashMap::default();
    for end in view.assessment.ends.iter().filter(|end| end.direction == Direction::Downstream) {
        let band = view.assessment.pair(end).band;
        let known = senders.entry(end.receiver).or_default();
        for (port, pair) in known.iter() {
            let other = view.assessment.pairs.pairs[*pair as usize].band;
            let apart = band.longest < other.shortest || other.longest < band.shortest;
            if *port == end.transmitter || apart {
                continue;
            }
            let ports = ((*port).min(end.transmitter), (*port).max(end.transmitter));
            let at = *index.entry(ports).or_insert_with(|| {
                let (at, first) = (band.nominal, end.receiver);
                found.push((ports, Shared { at, first, receivers: 0 }));
                found.len() - 1
            });
            found[at].1.receivers += 1;
        }
        known.push((end.transmitter, end.pair));
    }
    found.sort_by_key(|(ports, _)| *ports);
    found
}

/// Every two ports whose light meets at one wavelength, the first one of the plan first.
pub(super) fn meeting(view: &View<'_>) -> Vec<(u32, u32)> {
    shared(view).into_iter().map(|(ports, _)| ports).collect()
}
