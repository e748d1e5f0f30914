//! What nobody is connected to yet: homes that are passed, and spare legs of splitters, judged with the optic
//! that a plan assumes for them.

use crate::budget::{Assessment, End, Settings, Verdict, Window, assess};
use crate::check::fit_rules::unknown_optic;
use crate::check::{Finding, nearest};
use crate::plan::{DirectJoint, Plan, PointRef, Port, PortKind};
use crate::plant::Plant;
use crate::tables::{Optic, Role, Tables};
use crate::units::Decibels;

/// The spare legs of a splitter, all alike but for their drops, which are not there yet.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpareLegs {
    /// Index of the splitter.
    pub splitter: u32,
    /// The first leg that is free.
    pub leg: u16,
    /// How many are free.
    pub free: u16,
    /// Least margin of the assumed optic at the leg, in both directions.
    pub margin: Option<Decibels>,
    /// Least headroom of the assumed optic at the leg, in both directions.
    pub headroom: Option<Decibels>,
    /// What the light says; `None` where none of its system arrives.
    pub verdict: Option<Verdict>,
}

/// Puts the assumed optic into every home that is stated as not connected and has none.
pub(super) fn equip(plan: &mut Plan) {
    let Some((name, _)) = plan.assumptions.assumed_optic.clone() else { return };
    let set = plan.optic_set(vec![name]);
    for (index, port) in plan.ports.iter_mut().enumerate() {
        if port.kind == PortKind::Ont && !port.connected && port.optics.is_none() {
            port.optics = Some(set);
            plan.assumed.push(index as u32);
        }
    }
}

/// The finding about an assumed optic that no table knows: nothing can be judged with it.
pub(super) fn unknown(plan: &Plan, tables: &Tables) -> Option<Finding> {
    let (name, origin) = plan.assumptions.assumed_optic.as_ref()?;
    if Optic::find(tables, name, Role::Onu).is_some() {
        return None;
    }
    let names = Optic::names(tables);
    let near = nearest(name, names.iter().map(String::as_str));
    let hint = near.map_or_else(String::new, |near| format!("did you mean `{near}`?"));
    let message = format!("no table knows the assumed optic `{name}`");
    Some(unknown_optic::RULE.hit(*origin, "assumed optic", message).hint(hint))
}

/// Judges the spare legs of every splitter that fiber is attached to, by the worst case, with the assumed
/// optic where the drop begins. Empty where the plan assumes none.
pub(super) fn spare_legs(plan: &Plan, plant: &Plant, tables: &Tables) -> Vec<SpareLegs> {
    let Some((name, _)) = plan.assumptions.assumed_optic.clone() else { return Vec::new() };
    let first = plan.ports.len();
    let mut built = plan.clone();
    let set = built.optic_set(vec![name]);
    let mut spare = Vec::new();
    for (index, splitter) in plan.splitters.iter().enumerate() {
        let point = |leg| PointRef::SplitterLeg { splitter: index as u32, leg };
        let fed = (1..=splitter.inputs)
            .any(|input| plant.is_attached(PointRef::SplitterInput { splitter: index as u32, input }));
        let free: Vec<u16> = (1..=splitter.legs).filter(|leg| !plant.is_attached(point(*leg))).collect();
        let Some(leg) = free.first().copied().filter(|_| fed) else { continue };
        let id = built.names.intern(&plan.point_name(point(leg)));
        let to = PointRef::Port(built.ports.len() as u32);
        built.ports.push(Port {
            name: id,
            kind: PortKind::Ont,
            place: None,
            fitting: None,
            optics: Some(set),
            connected: false,
            origin: splitter.origin,
        });
        let (from, joint, origin) = (point(leg), splitter.joint, splitter.origin);
        built.joints.push(DirectJoint { from, to, joint, origin });
        spare.push((index as u32, leg, free.len() as u16));
    }
    if spare.is_empty() {
        return Vec::new();
    }
    let (plant, _) = Plant::build(&built);
    let settings = Settings { statistics: false, cross_check: None };
    let assessment = assess(&built, &plant, tables, settings);
    let mut of_port: Vec<Vec<&End>> = vec![Vec::new(); spare.len()];
    for end in &assessment.ends {
        for port in [end.transmitter as usize, end.receiver as usize] {
            if port >= first {
                of_port[port - first].push(end);
            }
        }
    }
    let legs = spare.into_iter().zip(of_port);
    legs.map(|((splitter, leg, free), ends)| SpareLegs {
        splitter,
        leg,
        free,
        margin: least(&assessment, &ends, End::margin),
        headroom: least(&assessment, &ends, End::headroom),
        verdict: ends.iter().map(|end| end.light).max(),
    })
    .collect()
}

fn least(
    assessment: &Assessment,
    ends: &[&End],
    room: fn(&End, &Window) -> Option<Decibels>,
) -> Option<Decibels> {
    let room = ends.iter().map(|end| room(end, &assessment.pair(end).window));
    room.reduce(|a, b| Some(a?.min(b?))).flatten()
}
