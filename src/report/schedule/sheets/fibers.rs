//! Fiber assignment: every strand of the outside plant, its tube and color, and what runs through it.

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::Work;

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let heads = [
        "cable".to_string(),
        "strand".to_string(),
        "tube".to_string(),
        "tube color".to_string(),
        "fiber".to_string(),
        "fiber color".to_string(),
        "from place".to_string(),
        "from".to_string(),
        "to place".to_string(),
        "to".to_string(),
        "kind".to_string(),
        format!("fiber length, {}", work.document.lengths.long_unit()),
        "fiber type".to_string(),
        "splices on the way".to_string(),
        "PONs and links".to_string(),
        "ends behind".to_string(),
    ];
    let plan = work.plan();
    let mut order: Vec<u32> =
        (0..plan.spans.len() as u32).filter(|span| plan.spans[*span as usize].outside).collect();
    // Cables in the order of the plan, strands in theirs; fibers of no named cable last.
    order.sort_by_key(|index| {
        let span = &plan.spans[*index as usize];
        (span.cable.is_none(), span.cable, span.strand, *index)
    });
    let rows = order.into_iter().flat_map(|span| {
        let fibers = if work.spans[span as usize].duplex { 2 } else { 1 };
        (0..fibers).map(move |offset| row(work, span, offset))
    });
    Sheet {
        name: "fibers",
        title: "Fiber assignment",
        columns: heads.into_iter().map(Column::new).collect(),
        rows: rows.collect(),
    }
}

fn row(work: &Work<'_>, index: u32, offset: u32) -> Vec<Cell> {
    let plan = work.plan();
    let span = &plan.spans[index as usize];
    let at = work.strand(index, offset);
    let mut row = vec![
        Cell::text(work.cable(index)),
        if span.strand == 0 { Cell::Empty } else { Cell::Count(u64::from(span.strand + offset)) },
    ];
    row.extend(match at {
        Some(at) => [
            Cell::Count(u64::from(at.tube.number)),
            Cell::text(at.tube.words()),
            Cell::Count(u64::from(at.fiber.number)),
            Cell::text(at.fiber.words()),
        ],
        None => [Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty],
    });
    row.extend([
        Cell::text(work.place(span.from)),
        Cell::text(plan.point_name(span.from)),
        Cell::text(work.place(span.to)),
        Cell::text(plan.point_name(span.to)),
        Cell::text(span.kind.word()),
        work.long(span.length),
        Cell::text(plan.fibers.get(usize::from(span.fiber)).map_or("", String::as_str)),
        Cell::Count(u64::from(span.splices)),
        Cell::text(work.circuits(index)),
        Cell::Count(work.spans[index as usize].ends as u64),
    ]);
    row
}
