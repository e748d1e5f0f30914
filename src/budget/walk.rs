//! What the light of one port meets: the ends of its links and PONs.

use super::assess::{Anomaly, Context, Yielded};
use super::joint::judge_pon;
use super::statistics::Randomness;
use super::verdict::{LossCase, judge_loss};
use super::{Against, Direction, End, Group, GroupKind, Pair, Reason, Verdict};
use crate::loss::{AtWavelength, Reflections, Sums};
use crate::plan::PointRef;
use crate::plant::{Link, Trace, Tracer, is_port};
use crate::tables::{Band, FiberKind, Role};
use crate::units::{Decibels, Kilometers};

/// One optic's light on one lane, walked to wherever it arrives.
pub(super) struct Beam<'a> {
    pub(super) port: u32,
    pub(super) optic: u16,
    pub(super) lane: u16,
    pub(super) trace: &'a Trace,
    pub(super) at: &'a AtWavelength<'a>,
}

/// A port that light reaches, as the walk found it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Onu {
    pub(super) port: u32,
    pub(super) optic: u16,
    pub(super) visit: u32,
    pub(super) down: u32,
    pub(super) up: Option<u32>,
    /// Fiber outside on the way, for the allowances.
    pub(super) outside: Kilometers,
}

/// From where to where an end's light goes.
struct Route {
    from: u32,
    to: u32,
    direction: Direction,
    pair: u32,
    group: u32,
}

impl Beam<'_> {
    /// Running sums at every visit at a wavelength, allowances of the path included.
    fn sums(&self, at: &AtWavelength<'_>) -> Vec<Sums> {
        let mut sums: Vec<Sums> = Vec::with_capacity(self.trace.visits.len());
        for (index, visit) in self.trace.visits.iter().enumerate() {
            let mut here = sums.get(visit.parent as usize).copied().unwrap_or_default();
            at.add_step(self.trace, index as u32, &mut here);
            sums.push(here);
        }
        sums
    }
}

/// Visits that are ports, with the port; the sending one left out.
fn ports_reached(trace: &Trace) -> impl Iterator<Item = (u32, u32)> + '_ {
    let visits = trace.visits.iter().enumerate().skip(1);
    visits.filter(|(_, visit)| is_port(visit.point)).filter_map(|(index, visit)| match visit.point {
        PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) => {
            Some((index as u32, port))
        }
        _ => None,
    })
}

/// Adds the allowances that belong to the path as a whole.
fn with_allowances(at: &AtWavelength<'_>, sums: &Sums) -> Sums {
    let mut whole = *sums;
    at.path_wide(sums.outside, &mut |step| {
        if let Ok(part) = step {
            at.meet(&part);
            whole.add(&part);
        }
    });
    whole
}

/// Upstream sums along a downstream walk, one wavelength at a time: the ONUs of a PON rarely have
/// more than one.
#[derive(Default)]
struct Upstream {
    band: Option<Band>,
    sums: Vec<Sums>,
    returns: Vec<Reflections>,
    blocked: Vec<bool>,
}

impl Upstream {
    fn prepare(&mut self, beam: &Beam<'_>, at: &AtWavelength<'_>) {
        if self.band == Some(at.band) {
            return;
        }
        self.band = Some(at.band);
        self.sums = beam.sums(at);
        self.returns.clear();
        self.blocked.clear();
        for (index, visit) in beam.trace.visits.iter().enumerate() {
            let parent = visit.parent as usize;
            let (back, blocked) = if index == 0 {
                (Reflections::default(), false)
            } else {
                let passed = match visit.link {
                    Some(Link::Wdm { element, leg }) => at.passes(element, leg),
                    _ => true,
                };
                let back = at.reflections_back(beam.trace, index as u32, self.returns[parent]);
                (back, self.blocked[parent] || !passed)
            };
            self.returns.push(back);
            self.blocked.push(blocked);
        }
    }
}

impl Context<'_> {
    /// Everything that one port's optics send.
    pub(super) fn port(
        &self,
        port: u32,
        tracer: &mut Tracer,
        randomness: &mut Randomness<'_>,
    ) -> Yielded {
        let mut yielded = Yielded::default();
        let start = [PointRef::Port(port), PointRef::PortTransmit(port)]
            .into_iter()
            .find(|point| self.plant.is_attached(*point));
        let Some(start) = start else { return yielded };
        for &index in self.pairs.of_port(self.plan, port) {
            let Some(optic) = self.pairs.optic(index) else { continue };
            if optic.transmit.is_empty() {
                self.no_wavelength((port, index), start, tracer, &mut yielded);
            }
            for (lane, band) in optic.transmit.iter().enumerate() {
                let Some(at) = self.wavelengths.iter().find(|at| at.band == *band) else { continue };
                let trace = self.plant.trace(start, |element, leg| at.passes(element, leg), tracer);
                let beam = Beam { port, optic: index, lane: lane as u16, trace: &trace, at };
                match optic.role {
                    Role::Peer => self.link_ends(&beam, &mut yielded, randomness),
                    Role::Olt => self.pon(&beam, &mut yielded, randomness),
                    // What an ONU sends is walked from its OLT, wherever the ONU stands.
                    Role::Onu => {}
                }
                if lane == 0 {
                    let twice = trace.reached_twice.iter();
                    yielded.anomalies.extend(twice.map(|&point| Anomaly::ReachedTwice { port, point }));
                }
            }
        }
        yielded
    }

    /// Notes an optic whose wavelength is not known, with every port that it may reach: a wdm element
    /// may pass it.
    fn no_wavelength(
        &self,
        (port, optic): (u32, u16),
        start: PointRef,
        tracer: &mut Tracer,
        yielded: &mut Yielded,
    ) {
        let trace = self.plant.trace(start, |_, _| true, tracer);
        let far_ports: Vec<u32> = ports_reached(&trace).map(|(_, far)| far).collect();
        let note = |far_port| Anomaly::NoWavelength { port, optic, far_port };
        if far_ports.is_empty() {
            yielded.anomalies.push(note(None));
        }
        yielded.anomalies.extend(far_ports.into_iter().map(|far| note(Some(far))));
    }

    /// The ends of one link in one direction on one lane.
    fn link_ends(&self, beam: &Beam<'_>, yielded: &mut Yielded, randomness: &mut Randomness<'_>) {
        let sums = beam.sums(beam.at);
        let back = beam.at.reflections(beam.trace).discrete();
        for (visit, far) in ports_reached(beam.trace) {
            if let PointRef::PortTransmit(far_port) = beam.trace.visits[visit as usize].point {
                yielded.anomalies.push(Anomaly::NotCrossed { port: beam.port, far_port });
                continue;
            }
            for pair in self.link_pairs(beam, far, yielded) {
                let direction = if beam.port < far { Direction::AToB } else { Direction::BToA };
                let whole = with_allowances(beam.at, &sums[visit as usize]);
                let pair = self.on_grades(pair, &whole);
                let route = Route { from: beam.port, to: far, direction, pair, group: u32::MAX };
                let too_long = self.beyond_reach(self.pair(pair), &whole);
                let too_long = too_long.map(|long| long && !self.bandwidth_suffices(beam, visit, pair));
                let mut end = self.end(&route, &whole, too_long);
                end.return_loss = back;
                if self.settings.statistics && end.missing.is_none() {
                    let path = randomness.path(beam.at, beam.trace, visit, whole.outside);
                    end.statistics = Some(randomness.figures(&path, self.pair(pair), self.plan));
                }
                self.judge(&mut end);
                yielded.ends.push(end);
            }
        }
    }

    /// The pairs of a beam's optic with the optics of a port it reaches.
    fn link_pairs(&self, beam: &Beam<'_>, far: u32, yielded: &mut Yielded) -> Vec<u32> {
        let far_optics = self.pairs.of_port(self.plan, far);
        let first = beam.lane == 0;
        if far_optics.is_empty() && first {
            yielded.anomalies.push(Anomaly::NoFarOptic { port: beam.port, far_port: far });
        }
        let mut found = Vec::new();
        for &far_optic in far_optics {
            let pairs = self.pairs.between(beam.optic, far_optic);
            found.extend(pairs.iter().copied().filter(|pair| self.pair(*pair).lane == beam.lane));
            let is_known =
                self.pairs.optic(far_optic).is_some() || self.pairs.electrical(far_optic).is_some();
            if pairs.is_empty() && first && is_known {
                let (port, optic) = (beam.port, beam.optic);
                yielded.anomalies.push(Anomaly::UnlikeEnds { port, far_port: far, optic, far_optic });
            }
        }
        found
    }

    /// Both directions of every ONU of one system behind one OLT port.
    fn pon(&self, beam: &Beam<'_>, yielded: &mut Yielded, randomness: &mut Randomness<'_>) {
        let down_sums = beam.sums(beam.at);
        let onus = self.onus(beam, &down_sums, yielded);
        if onus.is_empty() {
            return;
        }
        let group = yielded.groups.len() as u32;
        let first = yielded.ends.len();
        let back = beam.at.reflections(beam.trace).discrete();
        let mut up = Upstream::default();
        for onu in &onus {
            let visit = onu.visit as usize;
            let direction = Direction::Downstream;
            let route = Route { from: beam.port, to: onu.port, direction, pair: onu.down, group };
            let mut end = self.pon_end(&route, &with_allowances(beam.at, &down_sums[visit]));
            end.return_loss = back;
            yielded.ends.push(end);
            let Some(pair) = onu.up else {
                let (port, optic, far_port) = (onu.port, onu.optic, Some(beam.port));
                yielded.anomalies.push(Anomaly::NoWavelength { port, optic, far_port });
                continue;
            };
            let at = &self.wavelengths[usize::from(self.pair(pair).wavelength)];
            up.prepare(beam, at);
            let direction = Direction::Upstream;
            let route = Route { from: onu.port, to: beam.port, direction, pair, group };
            let mut end = self.pon_end(&route, &with_allowances(at, &up.sums[visit]));
            end.return_loss = up.returns[visit].discrete();
            if up.blocked[visit] {
                (end.verdict, end.reason) = (Verdict::Fail, Reason::Blocked);
                end.against.blocked = true;
                end.missing = None;
            }
            yielded.ends.push(end);
        }
        let trunk = trunk(beam.trace);
        let shared = [Some(&down_sums), Some(&up.sums)].map(|sums| {
            sums.and_then(|sums| sums.get(trunk)).map_or(Decibels::ZERO, |sums| sums.most - sums.least)
        });
        let mut made =
            pon_group(beam, onus.len(), first..yielded.ends.len(), &yielded.ends[first..], shared);
        if self.settings.statistics {
            judge_pon(self, randomness, beam, &onus, &mut yielded.ends[first..], &mut made);
        }
        yielded.ends[first..].iter_mut().for_each(|end| self.judge(end));
        yielded.groups.push(made);
    }

    /// The ONUs of the beam's system, in the order of the plan; other optics are noted.
    fn onus(&self, beam: &Beam<'_>, sums: &[Sums], yielded: &mut Yielded) -> Vec<Onu> {
        let mut onus = Vec::new();
        let mut unlike: Vec<(u32, u16)> = Vec::new();
        let mut strangers = Vec::new();
        for (visit, port) in ports_reached(beam.trace) {
            let optics = self.pairs.of_port(self.plan, port);
            if optics.is_empty() {
                yielded.anomalies.push(Anomaly::NoFarOptic { port: beam.port, far_port: port });
            }
            for &optic in optics {
                let down = self.pairs.between(beam.optic, optic).first().copied();
                let up = self.pairs.between(optic, beam.optic).first().copied();
                if let Some(down) = down {
                    let outside = sums[visit as usize].outside;
                    onus.push(Onu { port, optic, visit, down, up, outside });
                } else if let Some(far) = self.pairs.optic(optic) {
                    let list = if far.role == Role::Onu { &mut strangers } else { &mut unlike };
                    list.push((port, optic));
                } else if self.pairs.electrical(optic).is_some() {
                    unlike.push((port, optic));
                }
            }
        }
        // ONUs of other systems share a plant; an OLT that serves nobody is at the wrong one.
        if onus.is_empty() {
            unlike.append(&mut strangers);
        }
        let optic = beam.optic;
        yielded.anomalies.extend(unlike.into_iter().map(|(far_port, far_optic)| Anomaly::UnlikeEnds {
            port: beam.port,
            far_port,
            optic,
            far_optic,
        }));
        // The walk goes as the plant does; people read in the order of the plan.
        onus.sort_by_key(|onu| (onu.port, onu.optic));
        onus
    }

    /// An end of a PON, as [`Self::end`].
    fn pon_end(&self, route: &Route, sums: &Sums) -> End {
        self.end(route, sums, self.beyond_reach(self.pair(route.pair), sums))
    }

    /// An end with everything but its statistics; the verdict so far holds what is not loss. `too_long` tells
    /// whether it is longer than specified, as far as a reach is known.
    fn end(&self, route: &Route, sums: &Sums, too_long: Option<bool>) -> End {
        let pair = self.pair(route.pair);
        let against = self.against(pair, sums, too_long);
        let (verdict, reason) = beside_loss(pair, sums, against);
        End {
            transmitter: route.from,
            receiver: route.to,
            direction: route.direction,
            pair: route.pair,
            group: route.group,
            length: sums.length,
            least: sums.least,
            typical: sums.typical,
            most: sums.most,
            dispersion: sums.dispersion_known.then_some(sums.dispersion),
            return_loss: None,
            deciding: sums.deciding,
            missing: sums.missing,
            statistics: None,
            against,
            light: verdict,
            verdict,
            why: 0,
            reason,
        }
    }

    pub(super) fn pair(&self, index: u32) -> &Pair {
        &self.pairs.pairs[index as usize]
    }

    /// What speaks against an end apart from its loss.
    fn against(&self, pair: &Pair, sums: &Sums, too_long: Option<bool>) -> Against {
        let [low, high] = pair.dispersion;
        let (least, most) = sums.dispersion;
        // Within the reach that is stated for G.652 a link on such fiber keeps its dispersion by the
        // standard's own arithmetic; another fiber is judged by figures.
        let like_g652 =
            |fiber| self.tables.fibers.get(fiber).is_some_and(|row| row.value.is_like_g652());
        let limited = pair.fiber_kind == FiberKind::SingleMode && (low.is_some() || high.is_some());
        let excused = too_long == Some(false) && self.fibers(sums).all(like_g652);
        let judged = sums.dispersion_known && !excused;
        let beyond = low.is_some_and(|low| least < low) || high.is_some_and(|high| most > high);
        let other_kind =
            |fiber| self.tables.fibers.get(fiber).is_some_and(|row| row.value.kind != pair.fiber_kind);
        Against {
            fiber_kind: self.fibers(sums).any(other_kind),
            dispersion: judged && beyond,
            dispersion_unknown: limited && !sums.dispersion_known && !excused,
            receiver_band: pair.received == Some(false),
            beyond_reach: too_long == Some(true),
            no_reach: too_long.is_none() && pair.fiber_kind == FiberKind::Multimode,
            blocked: false,
        }
    }

    /// The fiber types on a path.
    pub(super) fn fibers<'a>(&'a self, sums: &Sums) -> impl Iterator<Item = &'a str> + use<'a> {
        let mask = sums.fibers;
        let names = self.plan.fibers.iter().take(64).enumerate();
        names.filter(move |(index, _)| mask & (1 << index) != 0).map(|(_, name)| name.as_str())
    }

    /// The final verdict: the loss, and what speaks against the end beside it.
    fn judge(&self, end: &mut End) {
        let pair = self.pair(end.pair);
        if let Reason::Missing(_) | Reason::Blocked = end.reason {
            return;
        }
        let loss = judge_loss(&LossCase {
            least: end.least,
            most: end.most,
            quantile: end.statistics.map(|statistics| statistics.judged()),
            min: pair.window.min,
            max: pair.window.max,
            reserve: self.plan.assumptions.reserve,
        });
        if loss.0 > end.verdict {
            (end.verdict, end.reason) = loss;
        }
    }
}

/// The last visit that all light of a trace passes.
fn trunk(trace: &Trace) -> usize {
    let mut children = vec![0u32; trace.visits.len()];
    for visit in trace.visits.iter().skip(1) {
        children[visit.parent as usize] += 1;
    }
    children.iter().take_while(|count| **count == 1).count().min(trace.visits.len() - 1)
}

/// The verdict on what speaks against an end apart from its loss.
fn beside_loss(pair: &Pair, sums: &Sums, against: Against) -> (Verdict, Reason) {
    let multimode = pair.fiber_kind == FiberKind::Multimode;
    match against {
        _ if sums.missing.is_some() => {
            (Verdict::Unknown, sums.missing.map_or(Reason::NoWindow, Reason::Missing))
        }
        Against { fiber_kind: true, .. } => (Verdict::Fail, Reason::FiberKind),
        Against { dispersion: true, .. } => (Verdict::Fail, Reason::Dispersion),
        // The receiver of a single-fiber optic is filtered; that of a duplex one may be wide by luck.
        Against { receiver_band: true, .. } if pair.single_fiber => {
            (Verdict::Fail, Reason::ReceiverBand)
        }
        Against { beyond_reach: true, .. } if multimode => (Verdict::Fail, Reason::BeyondReach),
        Against { receiver_band: true, .. } => (Verdict::Unknown, Reason::ReceiverBand),
        Against { no_reach: true, .. } => (Verdict::Unknown, Reason::NoReach),
        Against { dispersion_unknown: true, .. } => (Verdict::Unknown, Reason::DispersionUnknown),
        Against { beyond_reach: true, .. } => (Verdict::Marginal, Reason::BeyondReach),
        _ => (Verdict::Pass, Reason::Closes),
    }
}

/// What the ends of a PON have in common.
///
/// What all ends share (`shared`: its worst less its least loss) moves them together and is no
/// difference between them.
fn pon_group(
    beam: &Beam<'_>,
    served: usize,
    range: std::ops::Range<usize>,
    ends: &[End],
    shared: [Decibels; 2],
) -> Group {
    let lengths = ends.iter().map(|end| end.length);
    let near_far = lengths.clone().reduce(Kilometers::min).zip(lengths.reduce(Kilometers::max));
    let spread = |direction: Direction, shared: Decibels| {
        let these =
            || ends.iter().filter(move |end| end.direction == direction && end.missing.is_none());
        let most = these().map(|end| end.most).reduce(Decibels::max)?;
        let least = these().map(|end| end.least).reduce(Decibels::min)?;
        Some((most - least - shared).max(Decibels::ZERO))
    };
    Group {
        kind: GroupKind::Pon,
        port: beam.port,
        far_port: None,
        optic: beam.optic,
        ends: range,
        served: served as u32,
        lengths: near_far,
        loss_spread: [spread(Direction::Downstream, shared[0]), spread(Direction::Upstream, shared[1])],
        joint: None,
        cross_check: None,
    }
}
