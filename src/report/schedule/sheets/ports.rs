//! Port schedule: what sits in every port, where its cord goes, whom it serves.

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::{Attached, Work, down};
use crate::budget::State;
use crate::check::plan_facts;
use crate::check::standing::rule_of_state;
use crate::plan::{PointRef, PortKind};
use crate::report::document::sign;

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let lengths = work.document.lengths;
    let heads = [
        "port".to_string(),
        "place".to_string(),
        "cage".to_string(),
        "optic".to_string(),
        "joined to".to_string(),
        "cord".to_string(),
        format!("cord, {}", lengths.short_unit()),
        "polish".to_string(),
        "far end".to_string(),
        "ends".to_string(),
        format!("near, {}", lengths.long_unit()),
        format!("far, {}", lengths.long_unit()),
        "margin, dB".to_string(),
        "headroom, dB".to_string(),
        "verdict".to_string(),
        "why".to_string(),
    ];
    let mut columns: Vec<Column> = heads.into_iter().map(Column::new).collect();
    columns.push(Column::by_hand("proved on"));
    let plan = work.plan();
    let equipment = (0..plan.ports.len() as u32)
        .filter(|port| plan.ports[*port as usize].kind == PortKind::Equipment);
    Sheet {
        name: "ports",
        title: "Port schedule",
        columns,
        rows: equipment.flat_map(|port| rows(work, port)).collect(),
    }
}

/// One row per optic of a port, one for a port without.
fn rows(work: &Work<'_>, port: u32) -> Vec<Vec<Cell>> {
    let optics = work.document.view.assessment.pairs.of_port(work.plan(), port);
    if optics.is_empty() {
        return vec![row(work, port, None)];
    }
    optics.iter().map(|optic| row(work, port, Some(*optic))).collect()
}

fn row(work: &Work<'_>, port: u32, optic: Option<u16>) -> Vec<Cell> {
    let view = work.document.view;
    let cage = plan_facts::side(&view, port, optic).cage;
    let sides = [PointRef::Port(port), PointRef::PortTransmit(port), PointRef::PortReceive(port)];
    let attached = sides.iter().find_map(|point| work.at(*point).first());
    let mut row = vec![
        Cell::text(view.port_name(port)),
        Cell::text(work.place(PointRef::Port(port))),
        Cell::text(cage.map_or("", |cage| cage.key.as_str())),
        Cell::text(optic.map_or("", |optic| view.optic_name(optic))),
    ];
    row.extend(match attached {
        Some(Attached::Span(span, far)) => {
            let of = &work.plan().spans[*span as usize];
            [
                Cell::text(work.plan().point_name(*far)),
                Cell::text(of.kind.word()),
                work.short(of.length),
                Cell::text(work.polish(PointRef::Port(port))),
            ]
        }
        Some(Attached::Direct(far)) => [
            Cell::text(work.plan().point_name(*far)),
            Cell::text("joined directly"),
            Cell::Empty,
            Cell::text(work.polish(PointRef::Port(port))),
        ],
        None => [Cell::text("not connected"), Cell::Empty, Cell::Empty, Cell::Empty],
    });
    row.extend(served(work, port, optic));
    row.push(Cell::Empty);
    row
}

/// Far end, ends, near, far, margin, headroom, verdict.
fn served(work: &Work<'_>, port: u32, optic: Option<u16>) -> Vec<Cell> {
    let mine = |line: &&crate::report::document::GroupLine<'_>| match line.group.far_port {
        None => line.group.port == port && Some(line.group.optic) == optic,
        Some(far) => (line.group.port == port || far == port) && optic.is_some(),
    };
    let Some(line) = work.lines.iter().find(mine) else { return unserved(work, port) };
    let far = match line.group.far_port {
        Some(far) if far == port => line.id,
        Some(_) => line.far.unwrap_or_default(),
        None => "",
    };
    let length = |pick: usize| {
        let lengths = line.group.lengths.map(|(near, far)| [near, far][pick]);
        lengths.map_or(Cell::Empty, |length| work.long(length))
    };
    vec![
        Cell::text(far),
        Cell::Count(u64::from(line.group.served)),
        length(0),
        length(1),
        down(line.margin),
        down(line.headroom),
        Cell::text(sign(line.verdict).word),
        Cell::text(line.why.join(", ")),
    ]
}

/// The same cells of a port that no light of a PON or link runs through.
fn unserved(work: &Work<'_>, port: u32) -> Vec<Cell> {
    let state = work.document.view.assessment.standing.port_states.get(port as usize).copied();
    let words = state.filter(|state| *state != State::Free).map_or("", State::words);
    let mut cells = vec![Cell::Empty; 6];
    cells.push(Cell::text(words));
    cells.push(Cell::text(state.and_then(rule_of_state).unwrap_or_default()));
    cells
}
