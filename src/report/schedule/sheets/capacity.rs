//! Capacity: ports, positions, legs and strands, used and left.

use std::collections::{BTreeMap, BTreeSet};

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::Work;
use crate::plan::{PointRef, PortKind};

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let heads = ["kind", "id", "place", "of", "total", "used", "left", "note"];
    let mut rows = shelves(work);
    rows.extend(devices(work));
    rows.extend(cables(work));
    Sheet {
        name: "capacity",
        title: "Capacity",
        columns: heads.into_iter().map(Column::new).collect(),
        rows,
    }
}

fn row(kind: &str, id: &str, place: String, of: &str, counts: (u64, u64)) -> Vec<Cell> {
    let (total, used) = counts;
    vec![
        Cell::text(kind),
        Cell::text(id),
        Cell::text(place),
        Cell::text(of),
        Cell::Count(total),
        Cell::Count(used),
        Cell::Count(total.saturating_sub(used)),
        Cell::Empty,
    ]
}

/// Ports that the plan states, by shelf; used is what has an optic and a fiber.
fn shelves(work: &Work<'_>) -> Vec<Vec<Cell>> {
    let plan = work.plan();
    let mut counts: BTreeMap<&str, (u64, u64)> = BTreeMap::new();
    for (index, port) in plan.ports.iter().enumerate().filter(|(_, p)| p.kind == PortKind::Equipment) {
        let id = plan.names.get(port.name);
        let shelf = id.split_once('/').map_or(id, |(shelf, _)| shelf);
        let index = index as u32;
        let sides = [PointRef::Port(index), PointRef::PortTransmit(index), PointRef::PortReceive(index)];
        let used = port.optics.is_some() && sides.iter().any(|side| !work.at(*side).is_empty());
        let count = counts.entry(shelf).or_default();
        *count = (count.0 + 1, count.1 + u64::from(used));
    }
    let shelf_rows = plan.shelves.iter().filter_map(|shelf| {
        let id = plan.names.get(shelf.name);
        let place = shelf.place.and_then(|place| plan.places.get(place as usize));
        let place = place.map_or_else(String::new, |place| plan.names.get(place.name).to_string());
        Some(row("shelf", id, place, "ports stated", *counts.get(id)?))
    });
    shelf_rows.collect()
}

fn devices(work: &Work<'_>) -> Vec<Vec<Cell>> {
    let plan = work.plan();
    let mut rows = Vec::new();
    let used = |points: &mut dyn Iterator<Item = PointRef>| {
        points.filter(|point| !work.at(*point).is_empty()).count() as u64
    };
    for (index, panel) in plan.panels.iter().enumerate() {
        let point = |number| PointRef::Position { panel: index as u32, number };
        let taken = used(&mut (1..=panel.positions).map(point));
        let id = plan.names.get(panel.name);
        rows.push(row("panel", id, work.place(point(1)), "positions", (panel.positions.into(), taken)));
    }
    for (index, case) in plan.splice_cases.iter().enumerate() {
        let point = |number| PointRef::Splice { case: index as u32, number };
        let taken = used(&mut (1..=case.positions).map(point));
        let id = plan.names.get(case.name);
        rows.push(row(
            "splice case",
            id,
            work.place(point(1)),
            "splices",
            (case.positions.into(), taken),
        ));
    }
    for (index, splitter) in plan.splitters.iter().enumerate() {
        let point = |leg| PointRef::SplitterLeg { splitter: index as u32, leg };
        let taken = used(&mut (1..=splitter.legs).map(point));
        let id = plan.names.get(splitter.name);
        rows.push(row("splitter", id, work.place(point(1)), "legs", (splitter.legs.into(), taken)));
    }
    rows
}

/// Strands in use; how many a cable has the plan does not state.
fn cables(work: &Work<'_>) -> Vec<Vec<Cell>> {
    let plan = work.plan();
    let mut strands: BTreeMap<u16, BTreeSet<u32>> = BTreeMap::new();
    for (index, span) in plan.spans.iter().enumerate() {
        let Some(cable) = span.cable else { continue };
        let used = strands.entry(cable).or_default();
        if span.strand > 0 {
            used.insert(span.strand);
            if work.spans[index].duplex {
                used.insert(span.strand + 1);
            }
        }
    }
    let rows = strands.into_iter().map(|(cable, used)| {
        let highest = used.last().map_or_else(
            || "no strand stated".to_string(),
            |last| format!("highest strand {last}; the plan does not state how many the cable has"),
        );
        vec![
            Cell::text("cable"),
            Cell::text(plan.cables.get(usize::from(cable)).map_or("", String::as_str)),
            Cell::Empty,
            Cell::text("strands"),
            Cell::Empty,
            Cell::Count(used.len() as u64),
            Cell::Empty,
            Cell::text(highest),
        ]
    });
    rows.collect()
}
