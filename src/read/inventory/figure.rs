//! Numbers of a row: the short way through plain ones, and where their values go.

use crate::inventory::number::{Quantity, Reading};
use crate::inventory::{Column, Row, flag};

/// Hundredths of one unit of the last decimal, by the number of decimals.
const SCALE: [f64; 9] = [100.0, 10.0, 1.0, 0.1, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6];

/// A plain number in hundredths, where nothing about it has to be decided.
#[inline]
pub(super) fn plain(cell: &[u8], quantity: Quantity) -> Option<f64> {
    let (sign, digits) = match cell.split_first()? {
        (b'-', rest) => (-1, rest),
        _ => (1, cell),
    };
    let mut value: i64 = 0;
    let mut decimals = None;
    if digits.is_empty() || digits.len() > 8 {
        return None;
    }
    for byte in digits {
        match byte {
            b'0'..=b'9' => {
                value = value * 10 + i64::from(byte - b'0');
                decimals = decimals.map(|count: u32| count + 1);
            }
            b'.' if decimals.is_none() => decimals = Some(0),
            _ => return None,
        }
    }
    if decimals.is_some() && digits.len() == 1 {
        return None;
    }
    let hundredths = (sign * value) as f64 * SCALE.get(decimals.unwrap_or(0) as usize)?;
    match quantity {
        Quantity::Level(crate::inventory::number::LevelUnit::Dbm) => {
            (hundredths.abs() < 3_999.0).then_some(hundredths)
        }
        Quantity::Level(_) => None,
        Quantity::Length(meters) => Some(hundredths / 100.0 * meters),
        _ => Some(hundredths),
    }
}

/// Marks of a reading.
pub(super) fn marks(row: &mut Row, column: Column, reading: &Reading) {
    if reading.dark {
        match column {
            Column::Rx => row.flags |= flag::DARK_RX,
            Column::Tx => row.flags |= flag::DARK_TX,
            _ => {}
        }
    }
    if column == Column::Rx {
        if reading.dark_lane {
            row.flags |= flag::DARK_LANE;
        }
        row.spread = reading.spread.round().clamp(0.0, 30_000.0) as i16;
    }
}

/// Puts a value where it belongs; one outside what is physically possible is marked and left out.
#[inline]
pub(super) fn put(row: &mut Row, column: Column, value: f64) {
    // Half away from zero, as `f64::round`, which is a call on machines without an instruction for it.
    let rounded = (value + 0.5_f64.copysign(value)) as i64 as f64;
    if !value.is_finite() || !column.possible().contains(&rounded) {
        row.flags |= flag::OUT_OF_RANGE;
        return;
    }
    match column {
        Column::Rx if rounded == 0.0 => row.flags |= flag::ZERO_RX,
        Column::Rx => row.rx = rounded as i16,
        Column::Tx => row.tx = rounded as i16,
        Column::PathLoss => row.loss = rounded as i16,
        Column::Pad => row.pad = rounded as i16,
        Column::Temperature => row.temperature = (value / 10.0).round() as i16,
        // 3.3 V with 5 % either way; a module that reports nothing writes 0.
        Column::Voltage if value != 0.0 && !(313.5..=346.5).contains(&value) => {
            row.flags |= flag::SUPPLY_OFF;
        }
        Column::Bias => row.bias = rounded as u16,
        Column::Onus => row.onus = (value / 100.0).round() as u16,
        Column::PathLength => row.path = rounded as u32,
        Column::JumperLength => row.flags |= flag::HAS_JUMPER,
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inventory::number::{LevelUnit, read};

    #[test]
    fn the_short_way_agrees_with_the_long_one() {
        for cell in ["-7.9", "0.5", "12", "-0.05", "3.14", "-39.5", "7", "0.005"] {
            for quantity in [Quantity::Level(LevelUnit::Dbm), Quantity::Loss, Quantity::Length(1000.0)] {
                let long = read(cell, quantity);
                if let Some(short) = plain(cell.as_bytes(), quantity) {
                    approx::assert_abs_diff_eq!(short, long.value.unwrap_or(f64::NAN), epsilon = 1e-9);
                    assert!(long.turns.is_empty(), "{cell}");
                }
            }
        }
    }

    #[test]
    fn what_must_be_decided_takes_the_long_way() {
        for cell in ["-40", "-790", "-7,9", "-7.9 dBm", "", "-", ".", "-."] {
            let level = Quantity::Level(LevelUnit::Dbm);
            assert!(plain(cell.as_bytes(), level).is_none(), "{cell}");
        }
    }
}
