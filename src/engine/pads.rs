//! Which attenuator, where: for the links and PONs of a port.

use super::Judged;
use crate::budget::{End, Group, GroupKind};
use crate::check::view::View;
use crate::fit::pad::{Pad, Room, Stocked, choose};
use crate::plan::JointKind;
use crate::tables::Tables;
use crate::units::Decibels;

/// Where a pad goes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PadPlace {
    /// At the receive side of a port: each direction has its own fiber.
    Receiver(u32),
    /// Anywhere on the fiber between two ports: it serves both directions.
    Fiber(u32, u32),
    /// On the fiber between the OLT port and the first splitter: it serves every leg.
    Common(u32),
    /// At one ONT: it serves both directions of that leg.
    Leg(u32),
}

/// A pad and its place.
#[derive(Debug, Clone, PartialEq)]
pub struct PadAdvice {
    /// Where.
    pub place: PadPlace,
    /// Which, or why none.
    pub pad: Pad,
}

/// The pads of the table, as a stock.
pub fn stock_of(tables: &Tables) -> Vec<Stocked> {
    let rows = tables.attenuators.rows().iter();
    rows.map(|row| Stocked {
        name: row.key.clone(),
        value: row.value.value,
        tolerance: row.value.tolerance,
    })
    .collect()
}

/// The pads that the links and PONs of a port need; empty where no receiver may get too much.
///
/// A receiver that is fed by several lanes has one pad for all of them.
pub fn pads<'j>(
    judged: &Judged,
    groups: impl Iterator<Item = &'j Group>,
    stock: &[Stocked],
) -> Vec<PadAdvice> {
    of_view(&judged.view(), groups, stock)
}

/// As [`pads`], for an assessment of the plan with other optics in it.
pub(super) fn of_view<'j>(
    view: &View<'_>,
    groups: impl Iterator<Item = &'j Group>,
    stock: &[Stocked],
) -> Vec<PadAdvice> {
    let joint = joint_loss(view);
    let mut advice = Vec::new();
    let groups: Vec<&Group> = groups.collect();
    for (index, group) in groups.iter().copied().enumerate() {
        // Systems of one port share its fiber: one pad there serves all of them.
        let shares = |other: &&Group| {
            other.kind == GroupKind::Pon && group.kind == GroupKind::Pon && other.port == group.port
        };
        if groups[..index].iter().any(&shares) {
            continue;
        }
        let others = groups[index + 1..].iter().copied().filter(&shares);
        let of = |group: &Group| view.assessment.ends[group.ends.clone()].iter();
        let ends: Vec<&End> = of(group).chain(others.flat_map(of)).collect();
        let made = match group.kind {
            GroupKind::Pon => pon_pads(view, group, &ends, (joint, stock)),
            GroupKind::Link => link_pads(view, group, &ends, (joint, stock)),
        };
        advice.extend(made.into_iter().filter(|one| one.pad != Pad::NotNeeded));
    }
    advice
}

/// The room that some ends leave together.
fn room(view: &View<'_>, ends: &[&End]) -> Option<Room> {
    let one = |end: &&End| {
        let window = &view.assessment.pair(end).window;
        Room { headroom: end.headroom(window), margin: end.margin(window) }
    };
    ends.iter().map(one).reduce(Room::and)
}

fn link_pads(
    view: &View<'_>,
    group: &Group,
    ends: &[&End],
    (joint, stock): (Decibels, &[Stocked]),
) -> Vec<PadAdvice> {
    let Some(far) = group.far_port else { return Vec::new() };
    let single = ends.iter().any(|end| view.assessment.pair(end).single_fiber);
    if single {
        let pad = room(view, ends).map(|room| choose(room, joint, stock));
        let place = PadPlace::Fiber(group.port, far);
        return pad.map(|pad| PadAdvice { place, pad }).into_iter().collect();
    }
    [group.port, far]
        .into_iter()
        .filter_map(|port| {
            let here: Vec<&End> = ends.iter().copied().filter(|end| end.receiver == port).collect();
            let pad = choose(room(view, &here)?, joint, stock);
            Some(PadAdvice { place: PadPlace::Receiver(port), pad })
        })
        .collect()
}

/// One pad on the common fiber if every leg stands it; else one at each leg that needs one.
fn pon_pads(
    view: &View<'_>,
    group: &Group,
    ends: &[&End],
    (joint, stock): (Decibels, &[Stocked]),
) -> Vec<PadAdvice> {
    let Some(all) = room(view, ends) else { return Vec::new() };
    let common = choose(all, joint, stock);
    let ont = |end: &End| if end.transmitter == group.port { end.receiver } else { end.transmitter };
    let mut legs: Vec<u32> = ends.iter().map(|end| ont(end)).collect();
    legs.dedup();
    legs.sort_unstable();
    legs.dedup();
    // With one home there need be no splitter, and one place is like the other.
    let place = match legs.as_slice() {
        [only] => PadPlace::Fiber(group.port, *only),
        _ => PadPlace::Common(group.port),
    };
    let settled = legs.len() == 1 || !matches!(common, Pad::NoneFits { .. });
    let mut advice = vec![PadAdvice { place, pad: common }];
    if settled {
        return advice;
    }
    for leg in legs {
        let here: Vec<&End> = ends.iter().copied().filter(|end| ont(end) == leg).collect();
        if let Some(room) = room(view, &here) {
            advice.push(PadAdvice { place: PadPlace::Leg(leg), pad: choose(room, joint, stock) });
        }
    }
    advice
}

/// The greatest loss of the mated pair that comes with a pad: of the connectors that the plan uses at
/// its ports.
pub(super) fn joint_loss(view: &View<'_>) -> Decibels {
    let kind = view.plan.joint_kinds.get(usize::from(view.plan.port_joint.0));
    match kind {
        Some(JointKind::Connector { grade, .. }) => {
            let row = view.tables.connectors.get(grade);
            row.map_or(Decibels::ZERO, |row| row.value.figures.most)
        }
        _ => Decibels::ZERO,
    }
}
