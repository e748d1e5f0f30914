//! What a column of numbers stands for, in the unit that its head names.

use super::column::Column;
use super::number::{LevelUnit, Quantity, Reading, read};
use super::turn::Turn;

/// How the cells of one column of numbers are read.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measure {
    /// What they stand for.
    pub quantity: Quantity,
    /// dB of one unit of the head, where the column is one of losses; else 1.
    scale: f64,
}

impl Measure {
    /// The measure of a column, by the unit of its head in lower case; an empty unit is the usual one.
    /// `None` for columns that hold no numbers.
    pub fn of(column: Column, unit: &str) -> Option<Self> {
        let mut scale = 1.0;
        let quantity = match column {
            Column::Tx | Column::Rx => Quantity::Level(level(unit)),
            Column::PathLoss | Column::Pad => {
                scale = match unit {
                    "0.01 db" => 0.01,
                    "0.1 db" => 0.1,
                    _ => 1.0,
                };
                Quantity::Loss
            }
            Column::PathLength => Quantity::Length(meters(unit, 1000.0)),
            Column::JumperLength => Quantity::Length(meters(unit, 1.0)),
            Column::Temperature => Quantity::Temperature,
            Column::Bias => Quantity::Bias,
            Column::Voltage => Quantity::Voltage,
            Column::Onus => Quantity::Count,
            _ => return None,
        };
        Some(Self { quantity, scale })
    }

    /// Whether a number without a unit counts in the usual unit.
    pub fn is_usual(self) -> bool {
        self.scale >= 1.0
    }

    /// Reads a cell.
    pub fn read(self, cell: &str) -> Reading {
        let mut reading = read(cell, self.quantity);
        // A unit in the cell goes before the unit of the head.
        let in_head = !self.is_usual() && !reading.turns.contains(&Turn::UnitInCell);
        if let Some(value) = reading.value.as_mut().filter(|_| in_head) {
            *value *= self.scale;
            reading.turns.push(if self.scale < 0.05 { Turn::Hundredths } else { Turn::Tenths });
        }
        reading
    }
}

fn level(unit: &str) -> LevelUnit {
    match unit {
        "mw" => LevelUnit::Milliwatt,
        "uw" | "µw" | "μw" => LevelUnit::Microwatt,
        "cdbm" | "0.01 dbm" => LevelUnit::Hundredth,
        _ => LevelUnit::Dbm,
    }
}

/// Meters of one unit.
fn meters(unit: &str, usual: f64) -> f64 {
    match unit {
        "m" => 1.0,
        "km" => 1000.0,
        "ft" | "feet" => 0.3048,
        "kft" => 304.8,
        "mi" | "miles" => 1609.344,
        _ => usual,
    }
}

/// The units that a head or a map may name for a column, as they are written.
pub fn units(column: Column) -> &'static [&'static str] {
    match column {
        Column::Tx | Column::Rx => &["dBm", "mW", "uW", "cdBm", "0.01 dBm"],
        Column::RxHighAlarm | Column::RxHighWarning | Column::RxLowWarning | Column::RxLowAlarm => {
            &["dBm"]
        }
        Column::PathLoss | Column::Pad => &["dB", "0.1 dB", "0.01 dB"],
        Column::PathLength | Column::JumperLength => &["km", "m", "ft", "kft", "mi"],
        Column::TxNm | Column::RxNm => &["nm"],
        Column::Temperature | Column::TempHighAlarm => &["°C"],
        Column::Bias => &["mA"],
        Column::Voltage => &["V"],
        _ => &[],
    }
}

/// The usual spelling of a unit (`dBm` for `dbm`, `uW` for `µW`); `None` where it is no unit that a head
/// may name.
pub fn spelled(unit: &str) -> Option<&'static str> {
    const SPELLED: [(&str, &str); 23] = [
        ("dbm", "dBm"),
        ("db", "dB"),
        ("mw", "mW"),
        ("uw", "uW"),
        ("µw", "uW"),
        ("μw", "uW"),
        ("w", "W"),
        ("cdbm", "cdBm"),
        ("0.01 dbm", "0.01 dBm"),
        ("0.01 db", "0.01 dB"),
        ("0.1 db", "0.1 dB"),
        ("km", "km"),
        ("m", "m"),
        ("ft", "ft"),
        ("feet", "ft"),
        ("kft", "kft"),
        ("mi", "mi"),
        ("miles", "mi"),
        ("nm", "nm"),
        ("c", "°C"),
        ("°c", "°C"),
        ("ma", "mA"),
        ("v", "V"),
    ];
    let lower = unit.trim().to_lowercase();
    SPELLED.iter().find(|(written, _)| *written == lower).map(|(_, usual)| *usual)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn decibels(cell: &str, unit: &str) -> f64 {
        let measure = Measure::of(Column::PathLoss, unit).expect("a number");
        measure.read(cell).value.expect(cell) / 100.0
    }

    /// 12.5 dB in the forms in which management systems deliver it (common practice).
    #[test]
    fn losses_in_parts_of_a_decibel() {
        for (cell, unit) in [("12.5", ""), ("12.5", "db"), ("125", "0.1 db"), ("1250", "0.01 db")] {
            approx::assert_abs_diff_eq!(decibels(cell, unit), 12.5, epsilon = 1e-9);
        }
        approx::assert_abs_diff_eq!(decibels("12.5 dB", "0.01 db"), 12.5, epsilon = 1e-9);
    }

    #[test]
    fn every_unit_of_a_column_is_understood() {
        for column in super::super::COLUMNS {
            for unit in units(*column) {
                assert_eq!(spelled(unit), Some(*unit), "{}", column.name());
            }
        }
        assert_eq!((spelled("parsec"), spelled("µW"), spelled("Miles")), (None, Some("uW"), Some("mi")));
    }
}
