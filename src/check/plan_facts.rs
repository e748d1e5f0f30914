//! The facts of a plan, and the rules that judge facts run over them.
//!
//! Ports that were fitted out alike share one judgement, so that a million equal ONTs cost one.

use rustc_hash::FxHashMap;

use super::fit_rules::{Outcome, PAIR_RULES, SIDE_RULES};
use super::view::View;
use super::{Finding, Rule, plan_matings};
use crate::budget::{Group, GroupKind};
use crate::fit::facts::{Side, Way};
use crate::fit::way::way;
use crate::loss::AtWavelength;
use crate::plan::{PointRef, PortKind};
use crate::plant::{Tracer, is_port};

/// An optic's index that stands for none.
const NO_OPTIC: u16 = u16::MAX;

/// Ports with this in common are judged alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Alike {
    optic: u16,
    fitting: Option<u32>,
    kind: PortKind,
    place: Option<u32>,
}

/// Something that rules judged, with the outcome of one of them.
#[derive(Debug, Clone)]
pub struct Judgement {
    /// The rule.
    pub rule: &'static Rule,
    /// What it said.
    pub outcome: Outcome,
}

/// Runs the rules about facts over a plan.
pub fn judge(view: &View<'_>, findings: &mut Vec<Finding>) {
    sides(view, findings);
    pons(view, findings);
    links(view, findings);
    plan_matings::check(view, findings);
}

/// The facts of a port with one of its optics.
pub fn side<'a>(view: &View<'a>, port: u32, optic: Option<u16>) -> Side<'a> {
    let stated = &view.plan.ports[port as usize];
    let used = optic.and_then(|index| view.assessment.pairs.optics.get(usize::from(index)));
    let mut side = Side::named(view.port_name(port), stated.kind);
    if let Some(used) = used {
        side.written = &used.written;
        side.optic = used.optic.as_ref();
    }
    let place = stated.place.and_then(|place| view.plan.places.get(place as usize));
    side.place = place.map(|place| place.kind.as_str()).filter(|kind| !kind.is_empty());
    let Some(fitting) = view.plan.fitting_of(port) else { return side };
    let forms = &view.tables.form_factors;
    side.card_written = fitting.card.as_deref();
    side.card = fitting.card.as_ref().and_then(|card| view.tables.cards.get(card));
    let of_card = || side.card.map(|card| &card.value.cage);
    side.cage = fitting.cage.as_ref().or_else(of_card).and_then(|cage| forms.get(cage));
    side.form = fitting.form.as_ref().and_then(|form| forms.get(form));
    side.power = fitting.power;
    let range = fitting.temperature.as_ref();
    side.temperature = range.and_then(|range| view.tables.temperature_ranges.get(range));
    side.rate = fitting.rate;
    side.fec = fitting.fec.as_deref();
    side.face = Some(&fitting.face).filter(|face| !face.is_unstated());
    side.lane = fitting.lane;
    side
}

/// What every rule about one end says of a port.
pub fn of_side<'a>(view: &View<'a>, side: &Side<'a>) -> Vec<Judgement> {
    let judged = SIDE_RULES.iter();
    judged.map(|one| Judgement { rule: one.rule, outcome: (one.judge)(side, view.tables) }).collect()
}

/// What every rule about two ends says of them. `in_plan`: only those that plans are judged by.
pub fn of_pair<'a>(
    view: &View<'a>,
    (near, far): (&Side<'a>, &Side<'a>),
    way: &Way<'a>,
    in_plan: bool,
) -> Vec<Judgement> {
    let rules = PAIR_RULES.iter().filter(|one| one.in_plan || !in_plan);
    rules
        .map(|one| Judgement { rule: one.rule, outcome: (one.judge)(near, far, way, view.tables) })
        .collect()
}

/// The way that a link's light takes from its first port to the other; the way back where nothing is
/// known of what the first one sends.
pub fn link_way<'a>(view: &View<'a>, group: &Group, tracer: &mut Tracer) -> Way<'a> {
    let ends = &view.assessment.ends[group.ends.clone()];
    let there = ends.iter().find(|end| end.transmitter == group.port);
    let Some(end) = there.or(ends.first()) else { return Way::default() };
    let (near, far) = (end.transmitter, end.receiver);
    let band = view.assessment.pair(end).band;
    let at = AtWavelength::new(view.plan, view.tables, band);
    let starts = [PointRef::Port(near), PointRef::PortTransmit(near)];
    let Some(start) = starts.into_iter().find(|point| view.plant.is_attached(*point)) else {
        return Way::default();
    };
    let trace = view.plant.trace(start, |element, leg| at.passes(element, leg), tracer);
    let arrives = [PointRef::Port(far), PointRef::PortReceive(far)];
    let reached = |visit: &crate::plant::Visit| is_port(visit.point) && arrives.contains(&visit.point);
    match trace.visits.iter().position(reached) {
        Some(visit) => way(view.plan, view.tables, &trace, visit as u32),
        None => Way::default(),
    }
}

fn hits(judgements: Vec<Judgement>) -> impl Iterator<Item = (&'static Rule, String, String)> {
    judgements.into_iter().filter_map(|one| match one.outcome {
        Outcome::Hit { message, hint } => Some((one.rule, message, hint)),
        _ => None,
    })
}

/// Rules about one end: ports that are alike share one finding.
fn sides(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut met: FxHashMap<Alike, usize> = FxHashMap::default();
    let mut alike: Vec<(Alike, u32, u32)> = Vec::new();
    let mut last = None;
    for (index, port) in view.plan.ports.iter().enumerate() {
        let optics = view.assessment.pairs.of_port(view.plan, index as u32);
        let none = if optics.is_empty() { &[NO_OPTIC][..] } else { &[] };
        for optic in optics.iter().chain(none) {
            let key = Alike { optic: *optic, fitting: port.fitting, kind: port.kind, place: port.place };
            let key = if port.fitting.is_none() { Alike { place: None, ..key } } else { key };
            let at = match last {
                Some((known, at)) if known == key => at,
                _ => *met.entry(key).or_insert_with(|| {
                    alike.push((key, index as u32, 0));
                    alike.len() - 1
                }),
            };
            last = Some((key, at));
            alike[at].2 += 1;
        }
    }
    for (key, first, count) in alike {
        let optic = (key.optic != NO_OPTIC).then_some(key.optic);
        let side = side(view, first, optic);
        for (rule, message, hint) in hits(of_side(view, &side)) {
            let more =
                if count > 1 { format!(" (and {} more ports alike)", count - 1) } else { String::new() };
            let message = format!("`{}`{more}: {message}", side.name);
            findings.push(rule.hit(view.port_origin(first), side.name, message).hint(hint));
        }
    }
}

/// Rules about two ends, for the ends of PONs: judged once for each two kinds of ports. Of the way,
/// the walk of light says the rest.
fn pons(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut met = rustc_hash::FxHashSet::default();
    for end in &view.assessment.ends {
        let pair = view.assessment.pair(end);
        let group = &view.assessment.groups[end.group as usize];
        if group.kind != GroupKind::Pon || end.transmitter != group.port {
            continue;
        }
        let fitting = |port: u32| view.plan.ports[port as usize].fitting;
        let key = (pair.transmitter, fitting(end.transmitter), pair.receiver, fitting(end.receiver));
        if !met.insert(key) {
            continue;
        }
        let near = side(view, end.transmitter, Some(pair.transmitter));
        let far = side(view, end.receiver, Some(pair.receiver));
        facing(view, (&near, &far), &Way::default(), end.receiver, findings);
    }
}

/// Rules about two ends, for links.
fn links(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut tracer = Tracer::new(view.plant);
    let links = view.assessment.groups.iter().filter(|group| group.kind == GroupKind::Link);
    for group in links {
        let way = link_way(view, group, &mut tracer);
        for (near, far) in link_sides(view, group) {
            facing(view, (&near, &far), &way, group.far_port.unwrap_or(group.port), findings);
        }
    }
}

/// The optics that face each other on a link, each two once.
pub fn link_sides<'a>(view: &View<'a>, group: &Group) -> Vec<(Side<'a>, Side<'a>)> {
    let mut pairs: Vec<(u16, u16)> = Vec::new();
    for end in &view.assessment.ends[group.ends.clone()] {
        let pair = view.assessment.pair(end);
        let sorted = if end.transmitter == group.port {
            (pair.transmitter, pair.receiver)
        } else {
            (pair.receiver, pair.transmitter)
        };
        if !pairs.contains(&sorted) {
            pairs.push(sorted);
        }
    }
    let far = group.far_port.unwrap_or(group.port);
    let both = |(a, b)| (side(view, group.port, Some(a)), side(view, far, Some(b)));
    pairs.into_iter().map(both).collect()
}

fn facing<'a>(
    view: &View<'a>,
    (near, far): (&Side<'a>, &Side<'a>),
    way: &Way<'a>,
    far_port: u32,
    findings: &mut Vec<Finding>,
) {
    for (rule, message, hint) in hits(of_pair(view, (near, far), way, true)) {
        let subject = format!("{} to {}", near.name, far.name);
        let message = format!("`{}` to `{}`: {message}", near.name, far.name);
        findings.push(rule.hit(view.port_origin(far_port), subject, message).hint(hint));
    }
}
