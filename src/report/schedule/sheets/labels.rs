//! Label list: two lines for both ends of every cord, drop and cable.

use std::collections::BTreeSet;

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::Work;
use crate::plan::{PointRef, SpanKind};

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let heads = ["label", "line 1, this end", "line 2, other end", "place", "on"];
    let mut rows = Vec::new();
    let mut cables = BTreeSet::new();
    for (index, span) in work.plan().spans.iter().enumerate() {
        let number = index + 1;
        let named = |end| work.plan().point_name(end);
        match (span.kind, span.cable) {
            // All strands of a sheath between two places share its two labels.
            (SpanKind::Cable, Some(cable)) => {
                let between = (place(work, span.from), place(work, span.to));
                if cables.insert((cable, between.clone())) {
                    let name = work.cable(index as u32);
                    let line = |place: &str| format!("{name} {place}");
                    let texts = [line(&between.0), line(&between.1)];
                    rows.extend(both(number, &texts, [&between.0, &between.1], "cable"));
                }
            }
            (SpanKind::Cable, None) => {}
            (kind, _) => {
                let texts = [named(span.from), named(span.to)];
                let places = [work.place(span.from), work.place(span.to)];
                rows.extend(both(number, &texts, [&places[0], &places[1]], kind.word()));
            }
        }
    }
    Sheet {
        name: "labels",
        title: "Label list",
        columns: heads.into_iter().map(Column::new).collect(),
        rows,
    }
}

/// The place of a point, or the point itself where the plan states no place.
fn place(work: &Work<'_>, point: PointRef) -> String {
    let place = work.place(point);
    if place.is_empty() { work.plan().point_name(point) } else { place }
}

fn both(number: usize, texts: &[String; 2], places: [&str; 2], on: &str) -> [Vec<Cell>; 2] {
    let row = |letter: &str, this: usize, other: usize| {
        vec![
            Cell::text(format!("{number:04}{letter}")),
            Cell::text(texts[this].clone()),
            Cell::text(texts[other].clone()),
            Cell::text(places[this]),
            Cell::text(on),
        ]
    };
    [row("A", 0, 1), row("B", 1, 0)]
}
