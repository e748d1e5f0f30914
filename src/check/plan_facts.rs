//! The facts of a plan, and the rules that judge facts run over them.
//!
//! Ports that were fitted out alike share one judgement, so that a million equal ONTs cost one.

use rustc_hash::FxHashMap;

use super::fit_rules::{Outcome, PAIR_RULES, SIDE_RULES, Unless};
use super::view::View;
use super::walks::Walks;
use super::{Finding, Rule, plan_matings};
use crate::budget::{Group, GroupKind};
use crate::fit::facts::{Side, Way};
use crate::fit::way::way;
use crate::plan::{PointRef, PortKind};
use crate::plant::is_port;

/// Ports with this in common are judged alike.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
struct Alike {
    optics: Option<u32>,
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
    settled(SIDE_RULES.iter().map(|one| (one.rule, one.unless, (one.judge)(side, view.tables))))
}

/// What every rule about two ends says of them. `in_plan`: only those that plans are judged by.
pub fn of_pair<'a>(
    view: &View<'a>,
    (near, far): (&Side<'a>, &Side<'a>),
    way: &Way<'a>,
    in_plan: bool,
) -> Vec<Judgement> {
    let rules = PAIR_RULES.iter().filter(|one| one.in_plan || !in_plan);
    settled(rules.map(|one| (one.rule, one.unless, (one.judge)(near, far, way, view.tables))))
}

/// Judgements, of which those keep still whose fault another rule tells better.
pub fn settled(judged: impl Iterator<Item = (&'static Rule, Unless, Outcome)>) -> Vec<Judgement> {
    let judged: Vec<_> = judged.collect();
    let is_hit = |rule: &&'static Rule| {
        let mut hits = judged.iter().filter(|(_, _, outcome)| matches!(outcome, Outcome::Hit { .. }));
        hits.any(|(hit, _, _)| std::ptr::eq(*hit, *rule))
    };
    let still: Vec<bool> = judged.iter().map(|(_, unless, _)| unless.iter().any(is_hit)).collect();
    let judged = judged.into_iter().zip(still);
    judged
        .map(|((rule, _, outcome), still)| Judgement {
            rule,
            outcome: if still { Outcome::Idle } else { outcome },
        })
        .collect()
}

/// The way that a link's light takes from one port to the other, from the first one where it can.
pub fn link_way<'a>(view: &View<'a>, group: &Group, walks: &mut Walks<'_>) -> Way<'a> {
    let ends = &view.assessment.ends[group.ends.clone()];
    // Where light passes in one direction alone, that one tells of the way.
    let end = ends.iter().find(|end| end.transmitter == group.port).or(ends.first());
    let Some(end) = end else { return Way::default() };
    let (near, far) = (end.transmitter, end.receiver);
    let band = view.assessment.pair(end).band;
    let Some(trace) = walks.from(near, band) else { return Way::default() };
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

/// Rules about one end: ports of which a rule says the same share one finding.
fn sides(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut said: FxHashMap<(&str, String, String), usize> = FxHashMap::default();
    let mut found: Vec<(Finding, u32)> = Vec::new();
    for (ports, port) in alike(view).into_iter().map(|ports| (ports.clone(), ports[0])) {
        let optics = view.assessment.pairs.of_port(view.plan, port);
        let none = optics.is_empty().then_some(None);
        let sides = optics.iter().map(|optic| Some(*optic)).chain(none);
        // What is wrong whichever of its optics a port is judged with is wrong once.
        let mut of_port: Vec<usize> = Vec::new();
        for optic in sides {
            let side = side(view, port, optic);
            for (rule, message, hint) in hits(of_side(view, &side)) {
                let at = *said.entry((rule.id, message.clone(), hint.clone())).or_insert_with(|| {
                    found.push((rule.hit(view.port_origin(port), side.name, message).hint(hint), 0));
                    found.len() - 1
                });
                if !of_port.contains(&at) {
                    of_port.push(at);
                    found[at].1 += ports.len() as u32;
                    found[at].0.about.ports.extend(&ports);
                }
            }
        }
    }
    findings.extend(found.into_iter().map(|(mut finding, count)| {
        let more = match count {
            1 => String::new(),
            2 => " (and 1 more port)".to_string(),
            _ => format!(" (and {} more ports)", count - 1),
        };
        finding.message = format!("`{}`{more}: {}", finding.subject, finding.message);
        finding
    }));
}

/// The ports of each kind that were fitted out alike.
fn alike(view: &View<'_>) -> Vec<Vec<u32>> {
    let mut met: FxHashMap<Alike, usize> = FxHashMap::default();
    let mut alike: Vec<Vec<u32>> = Vec::new();
    let mut last = None;
    for (index, port) in view.plan.ports.iter().enumerate() {
        let place = port.fitting.and(port.place);
        let key = Alike { optics: port.optics, fitting: port.fitting, kind: port.kind, place };
        let at = match last {
            Some((known, at)) if known == key => at,
            _ => *met.entry(key).or_insert_with(|| {
                alike.push(Vec::new());
                alike.len() - 1
            }),
        };
        last = Some((key, at));
        alike[at].push(index as u32);
    }
    alike
}

/// Rules about two ends, for the ends of PONs: judged once for each two kinds of ports. Of the way,
/// the walk of light says the rest.
fn pons(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut met: FxHashMap<_, Vec<usize>> = FxHashMap::default();
    for end in &view.assessment.ends {
        let pair = view.assessment.pair(end);
        let group = &view.assessment.groups[end.group as usize];
        if group.kind != GroupKind::Pon || end.transmitter != group.port {
            continue;
        }
        let fitting = |port: u32| view.plan.ports[port as usize].fitting;
        let key = (pair.transmitter, fitting(end.transmitter), pair.receiver, fitting(end.receiver));
        let said = met.entry(key).or_insert_with(|| {
            let near = side(view, end.transmitter, Some(pair.transmitter));
            let far = side(view, end.receiver, Some(pair.receiver));
            let first = findings.len();
            facing(view, (&near, &far), &Way::default(), end.receiver, findings);
            (first..findings.len()).collect()
        });
        for at in said {
            findings[*at].about.ports.push(end.receiver);
        }
    }
}

/// Rules about two ends, for links.
fn links(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut walks = Walks::new(*view);
    let links = view.assessment.groups.iter().filter(|group| group.kind == GroupKind::Link);
    for group in links {
        let way = link_way(view, group, &mut walks);
        for (near, far) in link_sides(view, group) {
            let far_port = group.far_port.unwrap_or(group.port);
            let first = findings.len();
            facing(view, (&near, &far), &way, far_port, findings);
            for finding in &mut findings[first..] {
                finding.about.ports.extend([group.port, far_port]);
            }
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
