//! Which cells of a row cannot be read, or hold what cannot be: read again from the text.

use crate::inventory::{COLUMNS, Column, ColumnKind, WrittenRow, date};

/// The cells that cannot be read as what their columns stand for.
pub(super) fn bad_cells(row: &WrittenRow) -> Vec<(Column, String)> {
    let bad = |column: &Column| match column.kind() {
        ColumnKind::Number => row.reading(*column).is_some_and(|reading| reading.bad),
        ColumnKind::Date => {
            !row.cell(*column).is_empty() && date::read(row.cell(*column)) == date::Day::No
        }
        _ => false,
    };
    COLUMNS.iter().copied().filter(bad).map(|column| (column, row.cell(column).to_string())).collect()
}

/// What is possible in a column of numbers, with its unit.
fn range(column: Column) -> String {
    let unit = match column {
        Column::Tx | Column::Rx => " dBm",
        Column::PathLoss | Column::Pad => " dB",
        Column::PathLength => " km",
        Column::JumperLength => " m",
        Column::Temperature => " °C",
        Column::Bias => " mA",
        Column::Voltage => " V",
        _ => "",
    };
    // Lengths are possible in meters, all else in hundredths.
    let scale = match column {
        Column::PathLength => 1_000.0,
        Column::JumperLength => 1.0,
        _ => 100.0,
    };
    let possible = column.possible();
    format!("{} to {}{unit}", possible.start() / scale, possible.end() / scale)
}

/// Wild cells as people read them, each with what would be possible.
pub(super) fn wild_listed(row: &WrittenRow) -> String {
    let wild = wild_cells(row);
    let one = |(column, text): &(Column, String)| {
        format!("{} `{text}` (possible are {})", column.name(), range(*column))
    };
    wild.iter().map(one).collect::<Vec<_>>().join(", ")
}

/// The cells of numbers that are farther out than anything of the trade.
fn wild_cells(row: &WrittenRow) -> Vec<(Column, String)> {
    let wild = |column: &Column| {
        let value = row.reading(*column).and_then(|reading| reading.value);
        value.is_some_and(|value| !column.possible().contains(&value))
    };
    COLUMNS.iter().copied().filter(wild).map(|column| (column, row.cell(column).to_string())).collect()
}

/// Cells as people read them.
pub(super) fn listed(cells: &[(Column, String)]) -> String {
    let named = cells.iter().map(|(column, text)| format!("{} `{text}`", column.name()));
    named.collect::<Vec<_>>().join(", ")
}
