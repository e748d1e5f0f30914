//! The stops of a diagram: points gathered by device, runs of mere couplings drawn as one.

use rustc_hash::FxHashSet;

use crate::budget::{End, Profile, Verdict, Waypoint};
use crate::plan::{Plan, PointRef};
use crate::report::document::{Document, GroupLine};
use crate::report::order::room;
use crate::units::{Decibels, Kilometers};

/// What a stop is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Kind {
    /// A port of equipment.
    Port,
    /// A splitter, tap or wdm element: light parts here.
    Parting,
    /// A panel, splice case or attenuator: fiber runs through.
    Through,
}

/// The ends that hang on a stop.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ends {
    /// How many ports.
    pub(super) count: usize,
    /// The first and the last of them in the order of the walk.
    pub(super) names: [String; 2],
    /// Shortest and longest fiber from the stop.
    pub(super) drops: (Kilometers, Kilometers),
    /// The least room of any of them, dB; `None` when not known.
    pub(super) room: Option<f64>,
    /// The worst verdict.
    pub(super) verdict: Verdict,
}

/// A stop.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Stop {
    /// Its id.
    pub(super) name: String,
    /// What it is made of: ratio, legs used; empty for a mere coupling.
    pub(super) note: String,
    pub(super) kind: Kind,
    /// Index of the stop before; the first is its own parent.
    pub(super) parent: usize,
    /// How many fibers lead here from the stop before.
    pub(super) fibers: usize,
    /// Shortest and longest fiber from the stop before.
    pub(super) from_parent: (Kilometers, Kilometers),
    /// Farthest fiber from the office to here.
    pub(super) length: Kilometers,
    /// Worst loss behind the stop at its worst wavelength; `None` for the first.
    pub(super) loss: Option<Decibels>,
    /// Ends that hang here.
    pub(super) ends: Option<Ends>,
    /// Flags: the worst end, the nearest end, each with its figure.
    pub(super) flags: Vec<[String; 2]>,
}

/// A device, as far as points of one belong together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Device {
    Port(u32),
    Panel(u32),
    Case(u32),
    Splitter(u32),
    Tap(u32),
    Wdm(u32),
    Attenuator(u32),
}

fn device(point: PointRef) -> Device {
    match point {
        PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) => {
            Device::Port(port)
        }
        PointRef::Position { panel, .. } => Device::Panel(panel),
        PointRef::Splice { case, .. } => Device::Case(case),
        PointRef::SplitterInput { splitter, .. } | PointRef::SplitterLeg { splitter, .. } => {
            Device::Splitter(splitter)
        }
        PointRef::Tap { tap, .. } => Device::Tap(tap),
        PointRef::WdmCommon(element) | PointRef::WdmLeg { element, .. } => Device::Wdm(element),
        PointRef::Attenuator { attenuator, .. } => Device::Attenuator(attenuator),
    }
}

/// Gathers the stops of a group. The first shape is drawn: the way that light takes from the group's
/// own port.
pub(super) fn gather(document: &Document<'_>, line: &GroupLine<'_>, profile: &Profile) -> Vec<Stop> {
    let Some(shape) = profile.shapes.first() else { return Vec::new() };
    let worst = worst_losses(profile, shape.points.len());
    let mut gatherer = Gatherer { document, line, devices: Vec::new(), stops: Vec::new() };
    let mut stop_of = vec![0usize; shape.points.len()];
    for (index, at) in shape.points.iter().enumerate() {
        let before = &shape.points[at.parent as usize];
        let leg = at.length - before.length;
        stop_of[index] = gatherer.add(stop_of[at.parent as usize], at, leg, worst[index], index == 0);
    }
    let mut stops = gatherer.stops;
    let attached = attached_legs(document.view.plan);
    for (stop, device) in stops.iter_mut().zip(&gatherer.devices) {
        stop.note = note(document, *device, &attached);
    }
    flag(document, line, profile, &stop_of, &mut stops);
    merge_runs(stops)
}

/// The worst loss to each point over all wavelengths of the first shape.
fn worst_losses(profile: &Profile, points: usize) -> Vec<Decibels> {
    let mut worst = vec![Decibels::ZERO; points];
    for losses in profile.losses.iter().filter(|losses| losses.shape == 0) {
        for (at, reached) in worst.iter_mut().zip(&losses.reached) {
            *at = at.max(reached[2]);
        }
    }
    worst
}

struct Gatherer<'d> {
    document: &'d Document<'d>,
    line: &'d GroupLine<'d>,
    devices: Vec<Device>,
    stops: Vec<Stop>,
}

impl Gatherer<'_> {
    /// Adds a point; returns its stop.
    fn add(
        &mut self,
        parent: usize,
        at: &Waypoint,
        leg: Kilometers,
        loss: Decibels,
        first: bool,
    ) -> usize {
        let here = device(at.point);
        if let Device::Port(port) = here
            && !first
            && self.line.far.is_none()
        {
            self.hang(parent, port, leg);
            return parent;
        }
        let known = if !first && self.devices[parent] == here {
            Some(parent)
        } else {
            let children = self.stops.iter().enumerate().skip(1);
            let same =
                |(index, stop): &(usize, &Stop)| stop.parent == parent && self.devices[*index] == here;
            children.rev().take(512).find(same).map(|(index, _)| index).filter(|_| !first)
        };
        let Some(index) = known else {
            self.devices.push(here);
            self.stops.push(self.stop(parent, at, leg, loss, first));
            return self.stops.len() - 1;
        };
        let stop = &mut self.stops[index];
        stop.length = stop.length.max(at.length);
        stop.loss = stop.loss.map(|known| known.max(loss)).or(Some(loss).filter(|_| index > 0));
        if index != parent {
            stop.fibers += 1;
            stop.from_parent = (stop.from_parent.0.min(leg), stop.from_parent.1.max(leg));
        }
        index
    }

    fn stop(&self, parent: usize, at: &Waypoint, leg: Kilometers, loss: Decibels, first: bool) -> Stop {
        let plan = self.document.view.plan;
        let kind = match device(at.point) {
            Device::Port(_) => Kind::Port,
            Device::Splitter(_) | Device::Tap(_) | Device::Wdm(_) => Kind::Parting,
            _ => Kind::Through,
        };
        Stop {
            name: device_name(plan, at.point),
            note: String::new(),
            kind,
            parent,
            fibers: 1,
            from_parent: (leg, leg),
            length: at.length,
            loss: (!first).then_some(loss),
            ends: None,
            flags: Vec::new(),
        }
    }

    /// Hangs the port of an end on a stop.
    fn hang(&mut self, stop: usize, port: u32, drop: Kilometers) {
        let name = self.document.view.port_name(port).to_string();
        match &mut self.stops[stop].ends {
            Some(ends) => {
                ends.count += 1;
                ends.names[1] = name;
                ends.drops = (ends.drops.0.min(drop), ends.drops.1.max(drop));
            }
            none => {
                *none = Some(Ends {
                    count: 1,
                    names: [name.clone(), name],
                    drops: (drop, drop),
                    room: Some(f64::INFINITY),
                    verdict: Verdict::Pass,
                });
            }
        }
    }
}

/// The id of a point's device, without its leg or position.
fn device_name(plan: &Plan, point: PointRef) -> String {
    let name = |id| plan.names.get(id).to_string();
    match device(point) {
        Device::Port(port) => name(plan.ports[port as usize].name),
        Device::Panel(panel) => name(plan.panels[panel as usize].name),
        Device::Case(case) => name(plan.splice_cases[case as usize].name),
        Device::Splitter(splitter) => name(plan.splitters[splitter as usize].name),
        Device::Tap(tap) => name(plan.taps[tap as usize].name),
        Device::Wdm(element) => name(plan.wdm_elements[element as usize].name),
        Device::Attenuator(pad) => name(plan.attenuators[pad as usize].name),
    }
}

/// The legs of splitters that something is attached to, whichever system it belongs to.
fn attached_legs(plan: &Plan) -> FxHashSet<PointRef> {
    let spans = plan.spans.iter().flat_map(|span| [span.from, span.to]);
    let joints = plan.joints.iter().flat_map(|joint| [joint.from, joint.to]);
    spans.chain(joints).filter(|point| matches!(point, PointRef::SplitterLeg { .. })).collect()
}

/// What a stop is made of.
fn note(document: &Document<'_>, device: Device, attached: &FxHashSet<PointRef>) -> String {
    let plan = document.view.plan;
    match device {
        Device::Splitter(index) => {
            let splitter = &plan.splitters[index as usize];
            let of_it = |point: &PointRef| matches!(point, PointRef::SplitterLeg { splitter, .. } if *splitter == index);
            let used = attached.iter().filter(|point| of_it(point)).count();
            format!("{}x{}, {used} of {} legs", splitter.inputs, splitter.legs, splitter.legs)
        }
        Device::Tap(index) => format!("tap {}", plan.taps[index as usize].kind),
        Device::Wdm(index) => format!("wdm {}", plan.wdm_elements[index as usize].kind),
        Device::Attenuator(index) => format!("pad {}", plan.attenuators[index as usize].loss),
        Device::Port(_) | Device::Panel(_) | Device::Case(_) => String::new(),
    }
}

/// Sets what the ends on each stop have left, and flags the worst and the nearest end.
fn flag(
    document: &Document<'_>,
    line: &GroupLine<'_>,
    profile: &Profile,
    stop_of: &[usize],
    stops: &mut [Stop],
) {
    let view = document.view;
    let mut at_stop = |index: usize, end: &End| {
        let at = profile.ends.get(index).copied().flatten()?;
        let same_shape = profile.losses[at.losses as usize].shape == 0;
        let stop = stops.get_mut(*stop_of.get(at.point as usize).filter(|_| same_shape)?)?;
        if stop.kind == Kind::Port && end.missing.is_none() {
            // At an end the figure that its margin is made of counts: allowances included.
            stop.loss = stop.loss.map(|loss| loss.max(end.most));
        }
        if let Some(ends) = &mut stop.ends {
            let room = room(view, end);
            ends.room = ends.room.map(|least| least.min(room)).filter(|least| least.is_finite());
            ends.verdict = ends.verdict.max(end.verdict);
        }
        let global = line.group.ends.start + index;
        let window = view.assessment.pair(end).window;
        let figure = |value: Option<Decibels>| {
            value.map_or_else(
                || "not known".to_string(),
                |value| value.rounded_down().to_string().replace('-', "−"),
            )
        };
        let name = crate::report::budget::premises_port(end);
        if line.worst == Some(global) {
            let margin = figure(end.margin(&window));
            stop.flags.push([format!("worst: {}", view.port_name(name)), format!("margin {margin}")]);
        }
        if line.nearest == Some(global) {
            let headroom = figure(end.headroom(&window));
            stop.flags
                .push([format!("nearest: {}", view.port_name(name)), format!("headroom {headroom}")]);
        }
        Some(())
    };
    for (index, end) in view.assessment.ends[line.group.ends.clone()].iter().enumerate() {
        at_stop(index, end);
    }
}

/// Couplings nearer to each other than this stand in one room, km.
const ONE_ROOM: Kilometers = Kilometers::new(0.1);

/// Draws runs of mere couplings in one room as one stop: the ids of the first and the last, and how many.
fn merge_runs(stops: Vec<Stop>) -> Vec<Stop> {
    let mut children = vec![0usize; stops.len()];
    stops.iter().skip(1).for_each(|stop| children[stop.parent] += 1);
    let plain = |stop: &Stop| stop.kind == Kind::Through && stop.note.is_empty() && stop.ends.is_none();
    let mut kept: Vec<Stop> = Vec::with_capacity(stops.len());
    let mut count: Vec<usize> = Vec::with_capacity(stops.len());
    let mut first: Vec<String> = Vec::with_capacity(stops.len());
    let mut place = vec![0usize; stops.len()];
    for (index, mut stop) in stops.into_iter().enumerate() {
        let parent = stop.parent;
        let before = place[parent];
        let joins = index > 0
            && plain(&stop)
            && stop.from_parent.1 < ONE_ROOM
            && children[parent] == 1
            && plain(&kept[before])
            && stop.flags.is_empty()
            && kept[before].flags.is_empty();
        if joins {
            let run = &mut kept[before];
            count[before] += 1;
            run.name = format!("{} … {}", first[before], stop.name);
            run.note = String::new();
            run.length = stop.length;
            run.loss = stop.loss;
            let (least, most) = run.from_parent;
            run.from_parent = (least + stop.from_parent.0, most + stop.from_parent.1);
            place[index] = before;
        } else {
            stop.parent = before;
            place[index] = kept.len();
            first.push(stop.name.clone());
            count.push(1);
            kept.push(stop);
        }
    }
    for (stop, count) in kept.iter_mut().zip(count).filter(|(_, count)| *count > 1) {
        stop.note = format!("{count} couplings");
    }
    kept
}
