//! The verdict of each end once the rules have spoken, and the verdict of the whole.
//!
//! A row is as good as the worse of its light and of what the rules say of its ports and its way. The whole
//! is as good as the worst of what a plan names: nothing that is dark or cannot be judged hides behind what
//! passes.

use rustc_hash::{FxHashMap, FxHashSet};

use super::budget_rules::{
    beyond_reach, damage, dispersion, no_ends, no_light, not_at_confidence, only_statistically,
    over_loss, overload, reserve_not_kept, unknown,
};
use super::fit_rules::{blocked, fiber_kind, receiver_band};
use super::view::View;
use super::walks::Walks;
use super::{Concern, Finding, Rule, Severity};
use crate::budget::{
    Anomaly, Assessment, Direction, End, GroupKind, Reason, Standing, State, Tally, Verdict,
};
use crate::plan::{Plan, PointRef, PortKind};
use crate::plant::Plant;
use crate::tables::{Band, Tables};

/// Writes into an assessment what the findings make of its verdicts.
pub fn stand(
    plan: &Plan,
    plant: &Plant,
    tables: &Tables,
    assessment: &mut Assessment,
    findings: &[Finding],
) {
    let against = Against::of(&View { plan, plant, tables, assessment }, findings);
    let mut sets = Sets::new();
    for (index, end) in assessment.ends.iter_mut().enumerate() {
        let rules = against.end(index as u32, end);
        end.verdict = rules.iter().map(|rule| weight(rule)).fold(end.light, Verdict::max);
        let own = rule_of(end.reason).filter(|_| end.light != Verdict::Pass);
        end.why = sets.of(own.into_iter().chain(rules));
    }
    let assumed = plan.assumed.len() as u32;
    let mut standing = Standing { whys: sets.sets, assumed, ..Standing::default() };
    standing.port_states = port_states(plan, plant, assessment);
    for (port, state) in plan.ports.iter().zip(&standing.port_states) {
        let tally = match port.kind {
            PortKind::Ont => &mut standing.homes,
            PortKind::Equipment => &mut standing.ports,
        };
        tally.add(*state);
    }
    for group in assessment.groups.iter().filter(|group| group.kind == GroupKind::Link) {
        standing.links.add(State::Judged(assessment.verdict_of(group)));
    }
    for state in links_without_light(plan, assessment) {
        standing.links.add(state);
    }
    let mut whole: Vec<&'static Rule> = errors(findings).map(|finding| finding.rule).collect();
    whole.sort_unstable_by_key(|rule| rule.id);
    whole.dedup_by_key(|rule| rule.id);
    let of_rules = whole.iter().map(|rule| weight(rule)).max();
    standing.against = whole.into_iter().map(|rule| rule.id).collect();
    let counted = [&standing.homes, &standing.links, &standing.ports];
    let of_counts = counted.into_iter().filter_map(Tally::verdict).max();
    standing.verdict = of_counts.max(of_rules);
    assessment.standing = standing;
}

fn errors(findings: &[Finding]) -> impl Iterator<Item = &Finding> {
    findings.iter().filter(|finding| finding.severity == Severity::Error)
}

/// What an error of a rule makes of what it speaks of.
fn weight(rule: &Rule) -> Verdict {
    match rule.concern {
        Concern::Datum => Verdict::Unknown,
        // Whether anything is dark or only unknown, the counts tell.
        _ if rule.id == no_ends::RULE.id => Verdict::Unknown,
        // Too much light is said as such.
        _ if [overload::RULE.id, damage::RULE.id].contains(&rule.id) => Verdict::Overload,
        _ => Verdict::Fail,
    }
}

/// The rule that tells what the light says.
fn rule_of(reason: Reason) -> Option<&'static Rule> {
    Some(match reason {
        Reason::Closes => return None,
        Reason::ReserveNotKept => &reserve_not_kept::RULE,
        Reason::OnlyStatistically => &only_statistically::RULE,
        Reason::NotAtConfidence => &not_at_confidence::RULE,
        Reason::OverLoss => &over_loss::RULE,
        Reason::TooMuchLight => &overload::RULE,
        Reason::BeyondReach => &beyond_reach::RULE,
        Reason::Dispersion => &dispersion::RULE,
        Reason::FiberKind => &fiber_kind::RULE,
        Reason::ReceiverBand => &receiver_band::RULE,
        Reason::Blocked => &blocked::RULE,
        Reason::DispersionUnknown
        | Reason::NoWindow
        | Reason::NoOverload
        | Reason::NoReach
        | Reason::Missing(_) => &unknown::RULE,
    })
}

/// Sets of rules that ends share; the first is empty.
struct Sets {
    sets: Vec<Vec<&'static str>>,
    known: FxHashMap<Vec<&'static str>, u16>,
}

impl Sets {
    fn new() -> Self {
        Self { sets: vec![Vec::new()], known: std::iter::once((Vec::new(), 0)).collect() }
    }

    fn of(&mut self, rules: impl Iterator<Item = &'static Rule>) -> u16 {
        let mut set: Vec<&'static str> = Vec::new();
        for rule in rules {
            if !set.contains(&rule.id) {
                set.push(rule.id);
            }
        }
        if let Some(known) = self.known.get(&set) {
            return *known;
        }
        // There are far fewer sets than numbers: a few hundred rules in the combinations that occur.
        let number = u16::try_from(self.sets.len()).unwrap_or_default();
        if number > 0 {
            self.sets.push(set.clone());
            self.known.insert(set, number);
        }
        number
    }
}

/// Errors by what they speak of.
struct Against {
    by_port: FxHashMap<u32, Vec<&'static Rule>>,
    by_end: FxHashMap<u32, Vec<&'static Rule>>,
}

impl Against {
    fn of(view: &View<'_>, findings: &[Finding]) -> Self {
        let mut found = Self { by_port: FxHashMap::default(), by_end: FxHashMap::default() };
        let mut points: FxHashMap<PointRef, Vec<&'static Rule>> = FxHashMap::default();
        for finding in errors(findings) {
            for end in &finding.about.ends {
                found.by_end.entry(*end).or_default().push(finding.rule);
            }
            for port in &finding.about.ports {
                found.by_port.entry(*port).or_default().push(finding.rule);
            }
            for point in &finding.about.points {
                match *point {
                    PointRef::Port(port)
                    | PointRef::PortTransmit(port)
                    | PointRef::PortReceive(port) => {
                        found.by_port.entry(port).or_default().push(finding.rule);
                    }
                    point => points.entry(point).or_default().push(finding.rule),
                }
            }
        }
        if !points.is_empty() {
            found.crossing(view, &points);
        }
        found
    }

    /// Finds the ends whose light crosses a point that a rule speaks against.
    fn crossing(&mut self, view: &View<'_>, points: &FxHashMap<PointRef, Vec<&'static Rule>>) {
        let mut walks = Walks::new(*view);
        for group in &view.assessment.groups {
            let mut of_sender: FxHashMap<u32, FxHashMap<u32, Vec<&'static Rule>>> = FxHashMap::default();
            for index in group.ends.clone() {
                let end = &view.assessment.ends[index];
                // What comes up from a home crosses what goes down to it.
                let (sender, far) = match end.direction {
                    Direction::Upstream => (end.receiver, end.transmitter),
                    _ => (end.transmitter, end.receiver),
                };
                let met = of_sender.entry(sender).or_insert_with(|| {
                    met_on_the_way(&mut walks, sender, view.assessment.pair(end).band, points)
                });
                if let Some(rules) = met.get(&far) {
                    self.by_end.entry(index as u32).or_default().extend(rules);
                }
            }
        }
    }

    /// The rules that speak against an end.
    fn end(&self, index: u32, end: &End) -> Vec<&'static Rule> {
        if self.by_port.is_empty() && self.by_end.is_empty() {
            return Vec::new();
        }
        let of_ports = [end.transmitter, end.receiver].map(|port| self.by_port.get(&port));
        let all = self.by_end.get(&index).into_iter().chain(of_ports.into_iter().flatten());
        all.flatten().copied().collect()
    }
}

/// The rules that speak against points on the way from a port, by the ports that its light reaches.
fn met_on_the_way(
    walks: &mut Walks<'_>,
    sender: u32,
    band: Band,
    points: &FxHashMap<PointRef, Vec<&'static Rule>>,
) -> FxHashMap<u32, Vec<&'static Rule>> {
    let mut met: FxHashMap<u32, Vec<&'static Rule>> = FxHashMap::default();
    let Some(trace) = walks.from(sender, band) else { return met };
    for (at, visit) in trace.visits.iter().enumerate() {
        let (PointRef::Port(port) | PointRef::PortReceive(port)) = visit.point else { continue };
        let way = trace.path_to(at as u32).into_iter();
        let rules = way.filter_map(|step| points.get(&trace.visits[step as usize].point)).flatten();
        met.entry(port).or_default().extend(rules.copied());
    }
    met
}

/// The state of every two equipment ports that face each other and that no light joins.
fn links_without_light(plan: &Plan, assessment: &Assessment) -> Vec<State> {
    let lit = assessment.groups.iter().filter(|group| group.kind == GroupKind::Link);
    let mut met: FxHashSet<(u32, u32)> =
        lit.filter_map(|group| Some((group.port, group.far_port?))).collect();
    let mut states = Vec::new();
    for anomaly in &assessment.anomalies {
        let (port, far, state) = match *anomaly {
            Anomaly::UnlikeEnds { port, far_port, .. } | Anomaly::NotCrossed { port, far_port } => {
                (port, far_port, State::NoLight)
            }
            Anomaly::NoFarOptic { port, far_port } => (port, far_port, State::NoOptic),
            _ => continue,
        };
        let equipment = |port: u32| plan.ports[port as usize].kind == PortKind::Equipment;
        if equipment(port) && equipment(far) && met.insert((port.min(far), port.max(far))) {
            states.push(state);
        }
    }
    states
}

/// Where every port of a plan ends up.
fn port_states(plan: &Plan, plant: &Plant, assessment: &Assessment) -> Vec<State> {
    let mut worst: Vec<Option<Verdict>> = vec![None; plan.ports.len()];
    for end in &assessment.ends {
        for port in [end.transmitter, end.receiver] {
            let known = &mut worst[port as usize];
            *known = (*known).max(Some(end.verdict));
        }
    }
    let dark: FxHashSet<u32> = assessment.dark.iter().map(|dark| dark.port).collect();
    let state = |(index, worst): (usize, Option<Verdict>)| {
        let (port, optics) = (&plan.ports[index], assessment.pairs.of_port(plan, index as u32));
        let attached = || {
            let point = index as u32;
            let sides =
                [PointRef::Port(point), PointRef::PortTransmit(point), PointRef::PortReceive(point)];
            sides.iter().any(|side| plant.is_attached(*side))
        };
        let nobody = !port.connected;
        if optics.is_empty() {
            return match port.kind {
                _ if nobody => State::NotConnected,
                PortKind::Equipment if !attached() => State::Free,
                _ => State::NoOptic,
            };
        }
        let is_electrical = |optic: &u16| assessment.pairs.electrical(*optic).is_some();
        if optics.iter().any(|optic| assessment.pairs.optic(*optic).is_none() && !is_electrical(optic)) {
            return State::UnknownOptic;
        }
        if dark.contains(&(index as u32)) {
            return match attached() {
                true => State::NoLight,
                false if nobody => State::NotConnected,
                false => State::NoFiber,
            };
        }
        if optics.iter().all(is_electrical) {
            return State::NotOptical;
        }
        // Light whose wavelength nobody knows may be that of this port: nothing can be said of it.
        worst.map_or(State::NoDatum, State::Judged)
    };
    worst.iter().copied().enumerate().map(state).collect()
}

/// The rule that tells that a port is dark, for faces that show ports.
pub fn rule_of_state(state: State) -> Option<&'static str> {
    match state {
        State::NoLight => Some(no_light::RULE.id),
        State::NoFiber => Some(super::plan_rules::unconnected::RULE.id),
        State::NoOptic => Some(super::fit_rules::no_far_optic::RULE.id),
        State::UnknownOptic => Some(super::fit_rules::unknown_optic::RULE.id),
        State::NoDatum => Some(unknown::RULE.id),
        State::Judged(_) | State::NotConnected | State::NotOptical | State::Free => None,
    }
}
