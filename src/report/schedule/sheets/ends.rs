//! Every end with its losses, levels and verdict: the figures of the other faces, rounded for people.

use super::super::levels::Readings;
use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::{Work, down, level, up};
use super::light::{ALL_LIGHT, all_light};
use crate::budget::End;
use crate::report::budget::EndRow;
use crate::report::order::tightest_first;
use crate::units::Decibels;

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>, readings: &Readings) -> Sheet {
    let mut heads = vec![
        "end".to_string(),
        "direction".to_string(),
        "from".to_string(),
        "to".to_string(),
        "nm".to_string(),
        "transmitter".to_string(),
        "receiver".to_string(),
        format!("fiber, {}", work.document.lengths.long_unit()),
        "least loss, dB".to_string(),
        "typical loss, dB".to_string(),
        "worst loss, dB".to_string(),
        format!("loss at {}, dB", work.plan().assumptions.confidence),
        "least allowed, dB".to_string(),
        "most allowed, dB".to_string(),
        "margin, dB".to_string(),
        "headroom, dB".to_string(),
        "least level, dBm".to_string(),
        "greatest level, dBm".to_string(),
        "yield".to_string(),
        "verdict".to_string(),
        "why".to_string(),
        "the light says".to_string(),
    ];
    heads.extend(ALL_LIGHT.map(|head| format!("first day, {head}")));
    let ends = &work.document.view.assessment.ends;
    let order = tightest_first(work.document.view, usize::MAX).into_iter();
    Sheet {
        name: "ends",
        title: "Ends, tightest first",
        columns: heads.into_iter().map(Column::new).collect(),
        rows: order.map(|index| row(work, readings, (index, &ends[index]))).collect(),
    }
}

fn row(work: &Work<'_>, readings: &Readings, (index, end): (usize, &End)) -> Vec<Cell> {
    let view = work.document.view;
    let stated = EndRow::of(view, end);
    let window = view.assessment.pair(end).window;
    let known = |value: Decibels| Some(value).filter(|_| end.missing.is_none());
    let typical = (end.typical.value() * 100.0).round() / 100.0 + 0.0;
    let arrives = |launch: usize, loss: Decibels| {
        window.launch[launch].filter(|_| end.missing.is_none()).map(|launch| launch - loss)
    };
    let mut cells = vec![
        Cell::text(stated.id),
        Cell::text(stated.direction),
        Cell::text(stated.from),
        Cell::text(stated.to),
        Cell::Number(stated.wavelength_nm, if stated.wavelength_nm.fract() == 0.0 { 0 } else { 2 }),
        Cell::text(stated.transmitter),
        Cell::text(stated.receiver),
        work.long(end.length),
        down(known(end.least)),
        if end.missing.is_none() { Cell::Number(typical, 2) } else { Cell::Empty },
        up(known(end.most)),
        up(end.statistics.map(|s| s.quantile)),
        up(window.min),
        down(window.max),
        down(end.margin(&window)),
        down(end.headroom(&window)),
        level(arrives(0, end.most), false),
        level(arrives(1, end.least), true),
        Cell::text(
            end.statistics.and_then(|s| s.closes).map_or_else(String::new, |closes| closes.to_string()),
        ),
        Cell::text(stated.verdict),
        Cell::text(stated.why.join(", ")),
        Cell::text(stated.reason),
    ];
    cells.extend(all_light(readings.together_at_receiver(index)));
    cells
}
