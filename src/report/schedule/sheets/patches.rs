//! Patch list: the cords to put in, step by step.

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::Work;

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let heads = [
        "step".to_string(),
        "do".to_string(),
        "from place".to_string(),
        "from".to_string(),
        "to place".to_string(),
        "to".to_string(),
        "cord".to_string(),
        format!("length, {}", work.document.lengths.short_unit()),
        "fibers".to_string(),
        "plug from".to_string(),
        "plug to".to_string(),
        "label from".to_string(),
        "label to".to_string(),
        "PONs and links".to_string(),
    ];
    let mut columns: Vec<Column> = heads.into_iter().map(Column::new).collect();
    columns.extend(["inspected", "done"].map(Column::by_hand));
    let rows = cords(work).enumerate().map(|(step, span)| row(work, step + 1, span));
    Sheet { name: "patches", title: "Patch list", columns, rows: rows.collect() }
}

/// The cords of the plan, as indices of spans.
pub(super) fn cords<'w>(work: &'w Work<'_>) -> impl Iterator<Item = u32> + 'w {
    let spans = &work.plan().spans;
    (0..spans.len() as u32).filter(|span| !spans[*span as usize].kind.is_outside())
}

fn row(work: &Work<'_>, step: usize, index: u32) -> Vec<Cell> {
    let plan = work.plan();
    let span = &plan.spans[index as usize];
    let (from, to) = (plan.point_name(span.from), plan.point_name(span.to));
    let build = plan.build_of(span);
    let usual = if work.spans[index as usize].duplex { 2 } else { 1 };
    let fibers = build.and_then(|build| build.fibers).map_or(usual, u64::from);
    // A plug that is stated says more than the coupling it goes into.
    let plug = |end: usize, point| match build.map(|build| &build.plugs[end]) {
        Some(plug) if !plug.is_unstated() => plug.words(),
        _ => work.polish(point),
    };
    vec![
        Cell::Count(step as u64),
        Cell::text("insert"),
        Cell::text(work.place(span.from)),
        Cell::text(from.clone()),
        Cell::text(work.place(span.to)),
        Cell::text(to.clone()),
        Cell::text(span.kind.word()),
        work.short(span.length),
        Cell::Count(fibers),
        Cell::text(plug(0, span.from)),
        Cell::text(plug(1, span.to)),
        Cell::text(format!("{from} > {to}")),
        Cell::text(format!("{to} > {from}")),
        Cell::text(work.circuits(index)),
        Cell::Empty,
        Cell::Empty,
    ]
}
