//! The ways of a PON or link, point by point: what a drawing and a card of expected levels are made of.

use std::cell::RefCell;

use rustc_hash::{FxHashMap, FxHashSet};

use super::{Assessment, Direction, End, Group, GroupKind};
use crate::loss::{AtWavelength, Sums};
use crate::plan::{Plan, PointRef};
use crate::plant::{Link, Plant, Trace, Tracer};
use crate::tables::{Band, Tables};
use crate::units::{Decibels, Kilometers};

/// A point on the ways of a group.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Waypoint {
    /// The point.
    pub point: PointRef,
    /// Index of the point before it, seen from the group's own port; the first is its own parent.
    pub parent: u32,
    /// What lies between the two; the first has none.
    pub link: Option<Link>,
    /// Fiber from the group's own port to here.
    pub length: Kilometers,
}

/// The points that the light of a group passes on its way to an end, parents before their children.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Shape {
    /// The points; the first is the group's own port.
    pub points: Vec<Waypoint>,
}

/// What the ways lose at one wavelength.
#[derive(Debug, Clone, PartialEq)]
pub struct WayLosses {
    /// The wavelength.
    pub band: Band,
    /// Index of the shape.
    pub shape: u32,
    /// Least, mean and worst loss between the group's own port and each point, without the allowances
    /// that belong to a path as a whole: those are what an end's own figure has beyond this.
    pub reached: Vec<[Decibels; 3]>,
}

/// Where an end stands in a [`Profile`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct EndAt {
    /// Index of its losses.
    pub losses: u32,
    /// The point of the port that is not the group's own.
    pub point: u32,
    /// Whether its light runs towards the group's own port.
    pub inward: bool,
}

/// A point that the light of a group's own port reaches, whether or not an end of the group lies behind it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lit {
    /// The point.
    pub point: PointRef,
    /// What the light crossed last; nothing at the group's own port.
    pub link: Option<Link>,
    /// Least, mean and worst loss from the group's own port to here, without allowances.
    pub losses: [Decibels; 3],
}

/// The ways of one group.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Profile {
    /// Shapes; more than one only where the two directions take different ways.
    pub shapes: Vec<Shape>,
    /// Losses per wavelength and shape.
    pub losses: Vec<WayLosses>,
    /// One entry per end of the group, in its order; `None` where no way is found.
    pub ends: Vec<Option<EndAt>>,
}

/// Walks the groups of a plan one after the other; what all share is looked up once.
pub struct Profiles<'p> {
    plant: &'p Plant,
    assessment: &'p Assessment,
    wavelengths: Vec<AtWavelength<'p>>,
    tracer: RefCell<Tracer>,
}

/// Whether the light of an end runs towards its group's own port.
fn runs_inward(group: &Group, end: &End) -> bool {
    match group.kind {
        GroupKind::Pon => end.direction == Direction::Upstream,
        GroupKind::Link => end.receiver == group.port,
    }
}

impl<'p> Profiles<'p> {
    /// Looks up every wavelength in use.
    pub fn new(
        plan: &'p Plan,
        plant: &'p Plant,
        tables: &'p Tables,
        assessment: &'p Assessment,
    ) -> Self {
        let bands = assessment.pairs.bands.iter();
        let wavelengths = bands.map(|band| AtWavelength::new(plan, tables, *band)).collect();
        Self { plant, assessment, wavelengths, tracer: RefCell::new(Tracer::new(plant)) }
    }

    /// The ways of a group.
    pub fn of(&self, group: &Group) -> Profile {
        let mut profile = Profile::default();
        let mut known: FxHashMap<(u16, bool), u32> = FxHashMap::default();
        for end in &self.assessment.ends[group.ends.clone()] {
            let pair = self.assessment.pair(end);
            let inward = runs_inward(group, end);
            let key = (pair.wavelength, inward);
            let losses = match known.get(&key) {
                Some(found) => Some(*found),
                None => self.walk(group, key, &mut profile).inspect(|found| {
                    known.insert(key, *found);
                }),
            };
            let far = if end.receiver == group.port { end.transmitter } else { end.receiver };
            profile.ends.push(losses.and_then(|losses| {
                let shape = &profile.shapes[profile.losses[losses as usize].shape as usize];
                let point = shape.points.iter().skip(1).position(|at| port_of(at.point) == Some(far))?;
                Some(EndAt { losses, point: point as u32 + 1, inward })
            }));
        }
        profile
    }

    /// Walks one wavelength; returns the index of its losses.
    fn walk(&self, group: &Group, key: (u16, bool), profile: &mut Profile) -> Option<u32> {
        let (wavelength, inward) = key;
        let at = self.wavelengths.get(usize::from(wavelength))?;
        // The judgement walks a PON downstream and takes upstream losses on the same ways, wdm elements
        // that would block them included; so does this.
        let pon = group.kind == GroupKind::Pon;
        let walked = if inward && pon { self.downstream(group)? } else { at };
        let side = if inward && !pon { PointRef::PortReceive } else { PointRef::PortTransmit };
        let start = self.start(group, side)?;
        let trace = self.plant.trace(
            start,
            |element, leg| walked.passes(element, leg),
            &mut self.tracer.borrow_mut(),
        );
        let kept = self.leads_to_ends(group, &trace);
        let (shape, reached) = gather(at, &trace, &kept);
        let band = at.band;
        let same = profile.shapes.iter().position(|known| *known == shape);
        let shape = same.unwrap_or_else(|| {
            profile.shapes.push(shape);
            profile.shapes.len() - 1
        }) as u32;
        profile.losses.push(WayLosses { band, shape, reached });
        Some(profile.losses.len() as u32 - 1)
    }

    /// Every point that the light of a PON's own port reaches, per wavelength that it sends.
    pub fn lit(&self, group: &Group) -> Vec<(Band, Vec<Lit>)> {
        let pairs = &self.assessment.pairs;
        let sends = pairs.optic(group.optic).map_or(&[][..], |optic| optic.transmit.as_slice());
        let used = sends.iter().filter_map(|band| pairs.bands.iter().position(|known| known == band));
        let walked = used.filter_map(|wavelength| {
            let at = self.wavelengths.get(wavelength)?;
            let start = self.start(group, PointRef::PortTransmit)?;
            let passes = |element, leg| at.passes(element, leg);
            let trace = self.plant.trace(start, passes, &mut self.tracer.borrow_mut());
            let mut sums: Vec<Sums> = Vec::with_capacity(trace.visits.len());
            let mut reached = Vec::with_capacity(trace.visits.len());
            for (index, visit) in trace.visits.iter().enumerate() {
                let mut here = sums.get(visit.parent as usize).copied().unwrap_or_default();
                at.add_step(&trace, index as u32, &mut here);
                sums.push(here);
                let losses = [here.least, here.typical, here.most];
                reached.push(Lit { point: visit.point, link: visit.link, losses });
            }
            Some((at.band, reached))
        });
        walked.collect()
    }

    /// The point of a group's own port that something is attached to.
    fn start(&self, group: &Group, side: fn(u32) -> PointRef) -> Option<PointRef> {
        let sides = [PointRef::Port(group.port), side(group.port)];
        sides.into_iter().find(|point| self.plant.is_attached(*point))
    }

    /// Which visits lie on a way to an end of the group.
    fn leads_to_ends(&self, group: &Group, trace: &Trace) -> Vec<bool> {
        let ends = self.assessment.ends[group.ends.clone()].iter();
        let ports: FxHashSet<u32> = ends.flat_map(|end| [end.transmitter, end.receiver]).collect();
        let mut kept = vec![false; trace.visits.len()];
        for (index, visit) in trace.visits.iter().enumerate().skip(1).rev() {
            kept[index] |= port_of(visit.point).is_some_and(|port| ports.contains(&port));
            kept[visit.parent as usize] |= kept[index];
        }
        kept[0] = true;
        kept
    }

    /// The wavelength a PON sends downstream.
    fn downstream(&self, group: &Group) -> Option<&AtWavelength<'p>> {
        let ends = &self.assessment.ends[group.ends.clone()];
        let down = ends.iter().find(|end| end.direction == Direction::Downstream)?;
        self.wavelengths.get(usize::from(self.assessment.pair(down).wavelength))
    }
}

/// The kept points of a walk with what has been lost on the way to each.
fn gather(at: &AtWavelength<'_>, trace: &Trace, kept: &[bool]) -> (Shape, Vec<[Decibels; 3]>) {
    let mut sums: Vec<Sums> = Vec::with_capacity(trace.visits.len());
    let mut place = vec![0u32; trace.visits.len()];
    let (mut shape, mut reached) = (Shape::default(), Vec::new());
    for (index, visit) in trace.visits.iter().enumerate() {
        let mut here = sums.get(visit.parent as usize).copied().unwrap_or_default();
        at.add_step(trace, index as u32, &mut here);
        sums.push(here);
        if kept[index] {
            place[index] = shape.points.len() as u32;
            let parent = place[visit.parent as usize];
            let (point, link, length) = (visit.point, visit.link, here.length);
            shape.points.push(Waypoint { point, parent, link, length });
            reached.push([here.least, here.typical, here.most]);
        }
    }
    (shape, reached)
}

/// The port of a point that belongs to one.
fn port_of(point: PointRef) -> Option<u32> {
    match point {
        PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) => Some(port),
        _ => None,
    }
}
