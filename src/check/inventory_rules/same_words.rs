//! Whether two cells of one column say the same in other words.

use crate::inventory::number::{Quantity, read};
use crate::inventory::{Column, ColumnKind, WrittenRow, blank, date, far_end, name};
use crate::tables::{Named, Tables};

/// Columns in which two rows of one port do not contradict each other: the parts of the port's name say
/// the same, or it would not be one port; what changes from reading to reading is no statement about it.
const SAID_ELSEWHERE: [Column; 11] = [
    Column::Site,
    Column::Bay,
    Column::Shelf,
    Column::Slot,
    Column::Port,
    Column::Tx,
    Column::Rx,
    Column::Bias,
    Column::Temperature,
    Column::Voltage,
    Column::ReadTime,
];

/// Whether two rows of one port say the same in a column.
pub(super) fn say_the_same(
    column: Column,
    near: &WrittenRow,
    far: &WrittenRow,
    tables: &Tables,
) -> bool {
    let (a, b) = (near.cell(column), far.cell(column));
    if a == b || (blank::says_nothing(a) && blank::says_nothing(b)) {
        return true;
    }
    if SAID_ELSEWHERE.contains(&column) {
        return true;
    }
    match column {
        Column::Module | Column::PlannedModule | Column::FarModule => {
            optic(tables, a) == optic(tables, b)
        }
        Column::FarPort => name::port(a) == name::port(b),
        Column::FarEnd => parted(a) == parted(b),
        _ => same_kind(column, a, b),
    }
}

fn same_kind(column: Column, a: &str, b: &str) -> bool {
    match column.kind() {
        ColumnKind::Number => {
            let (a, b) = (value(column, a), value(column, b));
            a.zip(b).is_some_and(|(a, b)| (a - b).abs() < 0.5)
        }
        ColumnKind::Date => date::read(a) == date::read(b) && date::read(a) != date::Day::No,
        ColumnKind::Identifier => name::identifier(a) == name::identifier(b),
        ColumnKind::Name | ColumnKind::Word | ColumnKind::Text => word(column, a) == word(column, b),
    }
}

/// A word in its normal form; one with a number keeps its marks: `1.25` is not `12.5`.
fn word(column: Column, cell: &str) -> String {
    if column != Column::FarSite && cell.contains(|c: char| c.is_ascii_digit()) {
        return cell.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase();
    }
    name::site(cell)
}

/// The number of a cell, in hundredths; lengths in meters.
fn value(column: Column, cell: &str) -> Option<f64> {
    let quantity = match column {
        Column::PathLength => Quantity::Length(1000.0),
        Column::JumperLength => Quantity::Length(1.0),
        Column::Onus => Quantity::Count,
        _ => Quantity::Loss,
    };
    read(cell, quantity).value
}

/// The optic of a name, or the name where no table has it.
fn optic(tables: &Tables, written: &str) -> String {
    match tables.interface_named(written) {
        Named::One(name) => name.to_string(),
        Named::Several(_) | Named::Unknown { .. } => name::identifier(written),
    }
}

/// Site and port of a far end in one cell.
fn parted(cell: &str) -> (String, String) {
    match far_end::part(cell) {
        Some((site, port)) => (name::site(site), name::port(port)),
        None => (name::site(cell), String::new()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::read::tables::built_in;

    fn same(column: Column, a: &str, b: &str) -> bool {
        let mut rows = [WrittenRow::default(), WrittenRow::default()];
        rows[0].put(column, a);
        rows[1].put(column, b);
        say_the_same(column, &rows[0], &rows[1], &built_in())
    }

    /// Spellings of real records (common practice).
    #[test]
    fn other_words_for_the_same_are_told_from_other_things() {
        for (column, a, b) in [
            (Column::Oper, "up", "Up"),
            (Column::Module, "10G-LR", "10GBASE-LR"),
            (Column::FarPort, "1/1/1", "1-1-1"),
            (Column::PathLoss, "5.30", "5,30 dB"),
            (Column::PathLength, "8.4", "8400 m"),
            (Column::Serial, "AB-12", "ab 12"),
            (Column::Installed, "2024-05-02", "2.5.2024"),
            (Column::Circuit, "", "n/a"),
            (Column::Rx, "-5.3", "-7.1"),
        ] {
            assert!(same(column, a, b), "{a} {b}");
        }
        for (column, a, b) in [
            (Column::Oper, "up", "down"),
            (Column::Module, "10GBASE-LR", "10GBASE-ER"),
            (Column::FarPort, "1/1/1", "1/1/2"),
            (Column::PathLoss, "5.30", "5.31"),
            (Column::Onus, "3", ""),
            (Column::Serial, "1-12", "11-2"),
            (Column::TxNm, "1530.33", "1533.03"),
        ] {
            assert!(!same(column, a, b), "{a} {b}");
        }
    }
}
