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
        "polish from".to_string(),
        "polish to".to_string(),
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
    let fibers = if work.spans[index as usize].duplex { 2 } else { 1 };
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
        Cell::text(work.polish(span.from)),
        Cell::text(work.polish(span.to)),
        Cell::text(format!("{from} > {to}")),
        Cell::text(format!("{to} > {from}")),
        Cell::text(work.circuits(index)),
        Cell::Empty,
        Cell::Empty,
    ]
}
