//! Expected light: at every point where a meter can be plugged, the interval in which the level must lie
//! on the first day, the readings at which to stop, and what a meter without a filter reads.

use super::super::levels::{Expected, Key, Readings, Together, middle};
use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::{Work, level};
use crate::units::{DecibelMilliwatts, Nanometers};

/// Heads of what a meter without a filter reads, here and on the sheet of the ends.
pub(super) const ALL_LIGHT: [&str; 4] =
    ["other light, nm", "all light: least, dBm", "all light: expected, dBm", "all light: most, dBm"];

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>, readings: &Readings) -> Sheet {
    let heads = [
        "place",
        "point",
        "light comes from",
        "PON or link",
        "optic",
        "nm",
        "least, dBm",
        "expected, dBm",
        "most, dBm",
        "stop below, dBm",
        "stop above, dBm",
    ];
    let heads = heads.into_iter().chain(ALL_LIGHT).chain(["ends", "verdict"]);
    let mut columns: Vec<Column> = heads.map(Column::new).collect();
    columns.extend(["reading, dBm", "initials", "date"].map(Column::by_hand));
    Sheet {
        name: "light",
        title: "Expected light, first day",
        columns,
        rows: readings.alone.iter().map(|(key, alone)| row(work, readings, *key, alone)).collect(),
    }
}

fn row(work: &Work<'_>, readings: &Readings, key: Key, alone: &Expected) -> Vec<Cell> {
    let view = work.document.view;
    let pair = &view.assessment.pairs.pairs[key.pair as usize];
    let from = match (work.lines[key.line].far, key.inward) {
        (None, false) => "the office".to_string(),
        (None, true) => "the premises".to_string(),
        (Some(_), false) => work.lines[key.line].id.to_string(),
        (Some(far), true) => far.to_string(),
    };
    let stops = alone.stops();
    let mut cells = vec![
        Cell::text(work.place(key.point)),
        Cell::text(work.plan().point_name(key.point)),
        Cell::text(from),
        Cell::text(line_id(work, key.line)),
        Cell::text(view.optic_name(pair.transmitter)),
        nanometers(pair.band.nominal),
        level(Some(alone.least), false),
        about(middle(alone.typical)),
        level(Some(alone.most), true),
        level(stops.map(|[below, _]| below), false),
        level(stops.map(|[_, above]| above), true),
    ];
    cells.extend(all_light(readings.together(&key)));
    cells.push(Cell::Count(alone.ends));
    let mend = if stops.is_some() { "" } else { ": mend the plan before you measure" };
    cells.push(Cell::text(format!("{}{mend}", alone.verdict.word())));
    cells.extend([Cell::Empty, Cell::Empty, Cell::Empty]);
    cells
}

/// What a meter without a filter reads; nothing where one system's light is alone.
pub(super) fn all_light(together: Option<Together>) -> [Cell; 4] {
    const NAMED: usize = 4;
    let Some(Together { levels, others }) = together else {
        return [Cell::Empty, Cell::Empty, Cell::Empty, Cell::Empty];
    };
    let named: Vec<String> = others.iter().take(NAMED).map(|nm| nanometers(*nm).shown()).collect();
    let named = match others.len().saturating_sub(NAMED) {
        0 => named.join(", "),
        more => format!("{} and {more} more", named.join(", ")),
    };
    let [least, expected, most] = levels;
    [Cell::text(named), level(Some(least), false), about(expected), level(Some(most), true)]
}

/// What is expected: no more exact than a meter reads.
fn about(level: DecibelMilliwatts) -> Cell {
    Cell::Number((level.value() * 10.0).round() / 10.0 + 0.0, 1)
}

fn nanometers(value: Nanometers) -> Cell {
    let nm = value.value();
    Cell::Number(nm, if nm.fract() == 0.0 { 0 } else { 2 })
}

/// A PON by its port (its optic stands beside it), a link by both its ports.
fn line_id(work: &Work<'_>, line: usize) -> String {
    let line = &work.lines[line];
    line.far.map_or_else(|| line.id.to_string(), |far| format!("{} to {far}", line.id))
}
