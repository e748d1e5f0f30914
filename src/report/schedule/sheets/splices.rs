//! Splice schedule: every splice at a place, cable, tube and fiber on both sides.

use std::collections::BTreeMap;

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::{Attached, Work, up};
use crate::plan::{JointKind, JointUse, PointRef, TapLeg};

/// Columns that are filled in by hand.
const BY_HAND: [&str; 5] = ["A to B, dB", "B to A, dB", "mean, dB", "initials", "date"];

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let heads = [
        "closure",
        "place",
        "position",
        "in cable",
        "in strand",
        "in tube",
        "in fiber",
        "out cable",
        "out strand",
        "out tube",
        "out fiber",
        "splice",
        "PONs and links",
        "most, dB",
    ];
    let mut columns: Vec<Column> = heads.into_iter().map(Column::new).collect();
    columns.extend(BY_HAND.into_iter().map(Column::by_hand));
    let mut rows = Vec::new();
    cases(work, &mut rows);
    devices(work, &mut rows);
    direct(work, &mut rows);
    along(work, &mut rows);
    Sheet { name: "splices", title: "Splice schedule", columns, rows }
}

/// How many splices of each kind there are, those along spans included.
pub(super) fn counts(work: &Work<'_>) -> BTreeMap<String, u64> {
    let mut rows = Vec::new();
    cases(work, &mut rows);
    devices(work, &mut rows);
    direct(work, &mut rows);
    let mut counts: BTreeMap<String, u64> = BTreeMap::new();
    for row in rows {
        if let Some(Cell::Text(kind)) = row.get(KIND) {
            *counts.entry(kind.clone()).or_default() += 1;
        }
    }
    for (index, span) in work.plan().spans.iter().enumerate().filter(|(_, span)| span.splices > 0) {
        let fibers = if work.spans[index].duplex { 2 } else { 1 };
        if let Some(kind) = splice_kind(work, span.splice) {
            *counts.entry(kind.to_string()).or_default() += u64::from(span.splices) * fibers;
        }
    }
    counts
}

/// The column that names the kind of splice.
const KIND: usize = 11;

/// One side of a splice.
enum Side {
    Span(u32, u32),
    Device(String),
    Nothing,
}

/// Where a splice is.
struct Location {
    closure: String,
    place: String,
    position: String,
}

fn row(work: &Work<'_>, at: Location, sides: [Side; 2], kind: &str) -> Vec<Cell> {
    let circuits = sides.iter().find_map(|side| match side {
        Side::Span(span, _) => Some(work.circuits(*span)),
        _ => None,
    });
    let mut row = vec![Cell::text(at.closure), Cell::text(at.place), Cell::text(at.position)];
    for side in sides {
        row.extend(side_cells(work, side));
    }
    let most = work.document.view.tables.splices.get(kind).map(|row| row.value.figures.most);
    row.extend([Cell::text(kind), Cell::text(circuits.unwrap_or_default()), up(most)]);
    row.extend(BY_HAND.map(|_| Cell::Empty));
    row
}

fn side_cells(work: &Work<'_>, side: Side) -> [Cell; 4] {
    match side {
        Side::Span(span, offset) => {
            let strand = work.plan().spans[span as usize].strand;
            let at = work.strand(span, offset);
            let cable = match work.cable(span) {
                "" => work.plan().spans[span as usize].kind.word(),
                name => name,
            };
            [
                Cell::text(cable),
                if strand == 0 { Cell::Empty } else { Cell::Count(u64::from(strand + offset)) },
                Cell::text(at.as_ref().map_or_else(String::new, |at| at.tube.short())),
                Cell::text(at.as_ref().map_or_else(String::new, |at| at.fiber.short())),
            ]
        }
        Side::Device(name) => [Cell::text(name), Cell::Empty, Cell::Empty, Cell::Empty],
        Side::Nothing => [Cell::text("parked"), Cell::Empty, Cell::Empty, Cell::Empty],
    }
}

fn splice_kind<'w>(work: &'w Work<'_>, joint: JointUse) -> Option<&'w str> {
    match work.joint_kind(joint) {
        Some(JointKind::Splice(kind)) => Some(kind),
        // What is counted beside a loss for each kilometer are the splices of repairs.
        Some(JointKind::SplicesPerKilometer(_)) => Some(&work.plan().assumptions.repair_splice),
        _ => None,
    }
}

/// Splices in cases: the two spans that meet at a number.
fn cases(work: &Work<'_>, rows: &mut Vec<Vec<Cell>>) {
    for (index, case) in work.plan().splice_cases.iter().enumerate() {
        let Some(kind) = splice_kind(work, case.joint) else { continue };
        for number in 1..=case.positions {
            let point = PointRef::Splice { case: index as u32, number };
            let attached = work.at(point);
            if attached.is_empty() {
                continue;
            }
            let fibers = attached.iter().map(|at| fibers(work, *at)).max().unwrap_or(1);
            for offset in 0..fibers {
                let mut sides = attached.iter().map(|at| side(work, *at, offset));
                let sides = [sides.next(), sides.next()].map(|side| side.unwrap_or(Side::Nothing));
                let position = if fibers == 1 {
                    number.to_string()
                } else {
                    // A pair of fibers takes two splices of one number in the plan.
                    format!("{number}{}", ["a", "b"][offset as usize])
                };
                let location = Location {
                    closure: work.plan().names.get(case.name).to_string(),
                    place: work.place(point),
                    position,
                };
                rows.push(row(work, location, sides, kind));
            }
        }
    }
}

fn fibers(work: &Work<'_>, at: Attached) -> u32 {
    match at {
        Attached::Span(span, _) if work.spans[span as usize].duplex => 2,
        _ => 1,
    }
}

fn side(work: &Work<'_>, at: Attached, offset: u32) -> Side {
    match at {
        Attached::Span(span, _) => Side::Span(span, offset),
        Attached::Direct(far) => Side::Device(work.plan().point_name(far)),
    }
}

/// Splices at devices: the fiber of a tap, splitter or wdm element to the span that meets it.
fn devices(work: &Work<'_>, rows: &mut Vec<Vec<Cell>>) {
    for point in device_points(work) {
        let Some(kind) = splice_kind(work, work.plan().joint_at(point).0) else { continue };
        let kind = kind.to_string();
        for at in work.at(point).to_vec() {
            let Attached::Span(span, _) = at else { continue };
            let name = work.plan().point_name(point);
            let (closure, leg) = name.rsplit_once('/').unwrap_or((name.as_str(), ""));
            let location = Location {
                closure: closure.to_string(),
                place: work.place(point),
                position: leg.to_string(),
            };
            rows.push(row(work, location, [Side::Span(span, 0), Side::Device(name.clone())], &kind));
        }
    }
}

/// The points of taps, splitters, wdm elements and attenuators in the order of the plan.
fn device_points(work: &Work<'_>) -> Vec<PointRef> {
    let plan = work.plan();
    let mut points = Vec::new();
    for tap in 0..plan.taps.len() as u32 {
        let legs = [TapLeg::In, TapLeg::Through, TapLeg::Tap];
        points.extend(legs.map(|leg| PointRef::Tap { tap, leg }));
    }
    for (index, device) in plan.splitters.iter().enumerate() {
        let splitter = index as u32;
        points.extend((1..=device.inputs).map(|input| PointRef::SplitterInput { splitter, input }));
        points.extend((1..=device.legs).map(|leg| PointRef::SplitterLeg { splitter, leg }));
    }
    for (index, device) in plan.wdm_elements.iter().enumerate() {
        let element = index as u32;
        points.push(PointRef::WdmCommon(element));
        points.extend((0..device.legs.len() as u16).map(|leg| PointRef::WdmLeg { element, leg }));
    }
    for attenuator in 0..plan.attenuators.len() as u32 {
        points.extend([false, true].map(|far| PointRef::Attenuator { attenuator, far }));
    }
    points
}

/// Devices spliced fiber to fiber.
fn direct(work: &Work<'_>, rows: &mut Vec<Vec<Cell>>) {
    for joint in &work.plan().joints {
        let Some(kind) = splice_kind(work, joint.joint) else { continue };
        let name = |point| work.plan().point_name(point);
        let location = Location {
            closure: name(joint.from),
            place: work.place(joint.from),
            position: String::new(),
        };
        let sides = [Side::Device(name(joint.from)), Side::Device(name(joint.to))];
        rows.push(row(work, location, sides, kind));
    }
}

/// Splices along spans, whose places the plan does not state.
fn along(work: &Work<'_>, rows: &mut Vec<Vec<Cell>>) {
    for (index, span) in work.plan().spans.iter().enumerate() {
        let Some(kind) = splice_kind(work, span.splice).filter(|_| span.splices > 0) else { continue };
        let plan = work.plan();
        let location = Location {
            closure: format!("{} to {}", plan.point_name(span.from), plan.point_name(span.to)),
            place: String::new(),
            position: format!("{} along the span", span.splices),
        };
        let index = index as u32;
        rows.push(row(work, location, [Side::Span(index, 0), Side::Span(index, 0)], kind));
    }
}
