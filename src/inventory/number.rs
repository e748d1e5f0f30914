//! Written numbers: decimal commas, units in the cell, sentinels for dark, lists of lanes.

use super::blank::{says_dark, says_nothing};
use super::doubt::{is_alien, without_doubt};
use super::turn::Turn;

/// What a column of numbers stands for, and the unit of a number without one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Quantity {
    /// A level; `mw` when the head says milliwatts, `hundredths` when it says hundredths of dB.
    Level(LevelUnit),
    /// A ratio in dB.
    Loss,
    /// A length; the number of meters of one unit of the head.
    Length(f64),
    /// Degrees Celsius.
    Temperature,
    /// Milliamperes.
    Bias,
    /// Volts.
    Voltage,
    /// A whole number.
    Count,
}

/// The unit that the head of a column of levels names.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LevelUnit {
    /// dBm, or nothing.
    Dbm,
    /// mW.
    Milliwatt,
    /// uW.
    Microwatt,
    /// Hundredths of dBm.
    Hundredth,
}

/// What was read. `value` is in hundredths of the column's unit, lengths in meters.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Reading {
    /// The value; `None` = nothing, or dark.
    pub value: Option<f64>,
    /// The cell says dark.
    pub dark: bool,
    /// The cell is not a number.
    pub bad: bool,
    /// The cell is not a number and holds what belongs to another column: a word, a name, a day. A
    /// number that is written badly is no such thing.
    pub alien: bool,
    /// A unit that is not the column's was written.
    pub foreign_unit: bool,
    /// Greatest less least of the lanes that are lit, hundredths.
    pub spread: f64,
    /// A lane is dark while others are lit.
    pub dark_lane: bool,
    /// In which ways the cell was read as something else than it says.
    pub turns: Vec<Turn>,
}

/// A level at or below this is a sentinel (common practice: -40 dBm stands for no light).
const DARK_DBM: f64 = -39.995;

/// Reads a cell.
pub fn read(cell: &str, quantity: Quantity) -> Reading {
    let mut reading = Reading::default();
    let text = cell.trim();
    if text.is_empty() {
        return reading;
    }
    if let Quantity::Level(_) = quantity
        && let Some(parts) = lanes(text)
    {
        read_lanes(&parts, quantity, &mut reading);
        return reading;
    }
    one(text, quantity, &mut reading);
    reading
}

/// A list of lanes: `a|b|c|d`, `a;b`, `a/b`; of numbers also `a, b` and `a b`.
fn lanes(text: &str) -> Option<Vec<&str>> {
    if says_nothing(text) {
        return None;
    }
    if let Some(mark) = ['|', ';', '/'].into_iter().find(|mark| text.contains(*mark)) {
        return Some(text.split(mark).map(str::trim).collect());
    }
    // A comma may be that of a decimal, a blank that of thousands: only a list in which every part
    // is a whole level by itself is one.
    let comma = if text.contains(", ") { ", " } else { "," };
    let by_comma: Vec<&str> = text.split(comma).map(str::trim).collect();
    let by_blank: Vec<&str> = text.split_whitespace().collect();
    let is_list = |parts: &Vec<&str>| parts.len() > 1 && parts.iter().all(|part| is_level(part));
    [by_comma, by_blank].into_iter().find(is_list)
}

/// Whether a part of a list can be nothing but a level: it has a sign or decimals.
fn is_level(part: &str) -> bool {
    let number =
        part.get(part.len().saturating_sub(3)..).filter(|unit| unit.eq_ignore_ascii_case("dbm"));
    let number = number.map_or(part, |_| &part[..part.len() - 3]).trim_end();
    let (signed, digits) = match number.strip_prefix(['-', '+', '\u{2212}']) {
        Some(digits) => (true, digits),
        None => (false, number),
    };
    let marks = digits.matches(['.', ',']).count();
    let plain = digits.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b',');
    let whole = digits.starts_with(|c: char| c.is_ascii_digit())
        && digits.ends_with(|c: char| c.is_ascii_digit());
    plain && whole && marks <= 1 && (signed || marks == 1)
}

fn read_lanes(parts: &[&str], quantity: Quantity, reading: &mut Reading) {
    reading.turns.push(Turn::Lanes);
    let mut lit: Vec<f64> = Vec::new();
    let mut dark = false;
    for part in parts {
        let mut lane = Reading::default();
        one(part, quantity, &mut lane);
        reading.bad |= lane.bad;
        reading.alien |= lane.alien;
        dark |= lane.dark;
        lit.extend(lane.value);
        for turn in lane.turns {
            if turn != Turn::Dark && !reading.turns.contains(&turn) {
                reading.turns.push(turn);
            }
        }
    }
    let least = lit.iter().copied().reduce(f64::min);
    let most = lit.iter().copied().reduce(f64::max);
    reading.value = least;
    reading.dark = dark && least.is_none();
    reading.dark_lane = dark && least.is_some();
    if let (Some(least), Some(most)) = (least, most) {
        reading.spread = most - least;
    }
    if reading.dark {
        reading.turns.push(Turn::Dark);
    }
}

/// Reads one number with or without a unit.
fn one(text: &str, quantity: Quantity, reading: &mut Reading) {
    let level = matches!(quantity, Quantity::Level(_));
    if says_nothing(text) {
        return;
    }
    if says_dark(text) {
        reading.dark = level;
        if level {
            reading.turns.push(Turn::Dark);
        }
        return;
    }
    let lower = text.to_lowercase();
    let sure = without_doubt(&lower, &mut reading.turns);
    match scan(sure, quantity, &mut reading.turns) {
        None => reading.bad = true,
        Some((number, unit)) => match quantity {
            Quantity::Level(head) => read_level(number, &unit, head, reading),
            Quantity::Length(meters) => read_length(number, &unit, meters, reading),
            _ => read_plain(number, &unit, quantity, reading),
        },
    }
    reading.alien = reading.bad && is_alien(&lower);
}

fn read_level(number: f64, unit: &str, head: LevelUnit, reading: &mut Reading) {
    let stated = match unit {
        "" => None,
        "dbm" | "db" => Some(LevelUnit::Dbm),
        "mw" => Some(LevelUnit::Milliwatt),
        "uw" | "µw" | "μw" => Some(LevelUnit::Microwatt),
        _ => {
            reading.bad = true;
            return;
        }
    };
    if stated.is_some() {
        reading.turns.push(Turn::UnitInCell);
        reading.foreign_unit = stated != Some(head);
    }
    let dbm = match stated.unwrap_or(head) {
        LevelUnit::Dbm => scaled(number, stated.is_none(), &mut reading.turns),
        LevelUnit::Hundredth => {
            reading.turns.push(Turn::Hundredths);
            number / 100.0
        }
        unit => {
            reading.turns.push(Turn::Milliwatts);
            let milliwatts = if unit == LevelUnit::Milliwatt { number } else { number / 1000.0 };
            if milliwatts <= 0.0 { f64::NEG_INFINITY } else { 10.0 * milliwatts.log10() }
        }
    };
    if dbm <= DARK_DBM {
        reading.dark = true;
        reading.turns.push(Turn::Dark);
    } else {
        reading.value = Some(dbm * 100.0);
    }
}

/// Whole numbers far beyond any level are hundredths or thousandths of dB, as network management
/// delivers them; -99 and its like stay sentinels.
fn scaled(number: f64, plain: bool, turns: &mut Vec<Turn>) -> f64 {
    let size = number.abs();
    let sentinel = size == 999.0 || size == 9_999.0;
    if !plain || number.fract() != 0.0 || size < 100.0 || sentinel {
        return number;
    }
    if size <= 4_500.0 {
        turns.push(Turn::Hundredths);
        number / 100.0
    } else if size <= 45_000.0 {
        turns.push(Turn::Thousandths);
        number / 1000.0
    } else {
        number
    }
}

fn read_length(number: f64, unit: &str, meters: f64, reading: &mut Reading) {
    let stated = match unit {
        "" => None,
        "m" | "meter" | "meters" | "metre" | "metres" => Some(1.0),
        "km" => Some(1000.0),
        "cm" => Some(0.01),
        "ft" | "'" | "feet" | "foot" => Some(0.3048),
        "kft" => Some(304.8),
        "mi" | "mile" | "miles" => Some(1609.344),
        _ => {
            reading.bad = true;
            return;
        }
    };
    if let Some(unit) = stated {
        let same = (unit - meters).abs() < 1e-9;
        reading.foreign_unit = !same;
        reading.turns.push(if same { Turn::UnitInCell } else { Turn::LengthUnit });
    }
    reading.value = Some(number * stated.unwrap_or(meters));
}

fn read_plain(number: f64, unit: &str, quantity: Quantity, reading: &mut Reading) {
    let known: &[&str] = match quantity {
        Quantity::Loss => &["db"],
        Quantity::Temperature => &["c", "°c", "degc", "deg c", "° c", "celsius"],
        Quantity::Bias => &["ma"],
        Quantity::Voltage => &["v", "volt", "volts"],
        _ => &[],
    };
    let own = unit.is_empty() || known.contains(&unit);
    let Some(number) = Some(number).filter(|_| own).or_else(|| converted(number, unit, quantity)) else {
        reading.bad = true;
        return;
    };
    if !unit.is_empty() {
        reading.turns.push(Turn::UnitInCell);
        reading.foreign_unit = !own;
    }
    reading.value = Some(number * 100.0);
}

/// A number with a unit that is not its column's: degrees Fahrenheit, millivolts, microamperes.
fn converted(number: f64, unit: &str, quantity: Quantity) -> Option<f64> {
    match (quantity, unit) {
        (Quantity::Temperature, "f" | "°f" | "degf" | "deg f" | "° f") => {
            Some((number - 32.0) * 5.0 / 9.0)
        }
        (Quantity::Voltage, "mv") | (Quantity::Bias, "ua" | "µa" | "μa") => Some(number / 1000.0),
        _ => None,
    }
}

/// Splits lower-case text into a number and a unit.
fn scan(text: &str, quantity: Quantity, turns: &mut Vec<Turn>) -> Option<(f64, String)> {
    let mut digits = String::with_capacity(text.len());
    let mut odd = false;
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let next = &rest[c.len_utf8()..];
        match c {
            '0'..='9' | '.' | ',' => digits.push(c),
            '-' | '+' if digits.is_empty() => digits.push(c),
            '\u{2212}' | '\u{2013}' if digits.is_empty() => {
                digits.push('-');
                odd = true;
            }
            '\'' if digits.is_empty() => odd = true,
            ' ' | '\u{a0}' | '\u{202f}'
                if matches!(digits.as_str(), "" | "-" | "+")
                    || next.starts_with(|c: char| c.is_ascii_digit()) =>
            {
                odd = true
            }
            'e' if next.starts_with(['+', '-']) => digits.push(c),
            '+' | '-' if digits.ends_with('e') => digits.push(c),
            _ => break,
        }
        rest = next;
    }
    if odd {
        turns.push(Turn::Typography);
    }
    let number = plain(&digits, quantity, turns)?;
    // `-2.1 dBm (0.617 mW)`: what stands in brackets says the same again.
    let unit = rest.split_once('(').map_or(rest, |(unit, _)| unit);
    Some((number, unit.trim().to_string()))
}

/// A number whose comma is told from its other marks and from what it stands for.
fn plain(digits: &str, quantity: Quantity, turns: &mut Vec<Turn>) -> Option<f64> {
    let commas = digits.matches(',').count();
    if commas == 0 {
        return digits.parse().ok().filter(|value: &f64| value.is_finite());
    }
    let points = digits.matches('.').count();
    let whole = matches!(quantity, Quantity::Count);
    let text = if points == 1 && digits.rfind(',') < digits.rfind('.') {
        turns.push(Turn::Thousands);
        digits.replace(',', "")
    } else if points > 0 && commas == 1 {
        turns.push(Turn::Thousands);
        turns.push(Turn::DecimalComma);
        digits.replace('.', "").replace(',', ".")
    } else if commas == 1 && !whole {
        turns.push(Turn::DecimalComma);
        digits.replace(',', ".")
    } else {
        turns.push(Turn::Thousands);
        digits.replace(',', "")
    };
    text.parse().ok().filter(|value: &f64| value.is_finite())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn level(cell: &str) -> (Option<f64>, Vec<Turn>) {
        let reading = read(cell, Quantity::Level(LevelUnit::Dbm));
        assert!(!reading.bad, "{cell}");
        (reading.value.map(|v| v.round() / 100.0), reading.turns)
    }

    /// Spellings of real exports (common practice); 0.162 mW is -7.90 dBm by the definition of dBm.
    #[test]
    fn one_level_in_many_spellings() {
        for cell in [
            "-7.9",
            "-7,9",
            "-7.9 dBm",
            "\u{2212}7.9",
            "- 7.9",
            "-790",
            "-7900",
            "0.162 mW",
            "162 uW",
            "'-7.9",
        ] {
            assert_eq!(level(cell).0, Some(-7.9), "{cell}");
        }
        assert_eq!(level("-7,9").1, [Turn::DecimalComma]);
        assert_eq!(level("-790").1, [Turn::Hundredths]);
        assert!(level("-7.9").1.is_empty());
    }

    #[test]
    fn dark_in_many_spellings() {
        for cell in ["-40", "-40.00", "-99", "-inf", "-Inf dBm", "0.0 mW", "-999", "LOS", "no light"] {
            let reading = read(cell, Quantity::Level(LevelUnit::Dbm));
            assert!(reading.dark && reading.value.is_none() && !reading.bad, "{cell}: {reading:?}");
            assert!(reading.turns.contains(&Turn::Dark), "{cell}");
        }
        for quantity in [Quantity::Level(LevelUnit::Dbm), Quantity::Loss, Quantity::Temperature] {
            for cell in ["N/A", "-", "--", "none", "not supported", "n.a.", "n/s", "not measured"] {
                assert_eq!(read(cell, quantity), Reading::default(), "{cell}");
            }
        }
        assert!(!read("-39.9", Quantity::Level(LevelUnit::Dbm)).dark);
    }

    #[test]
    fn lanes_keep_the_weakest_lit_one() {
        let reading = read("-2.1|-2.3|-1.9|-40", Quantity::Level(LevelUnit::Dbm));
        assert_eq!(reading.value.map(f64::round), Some(-230.0));
        assert!(reading.dark_lane && !reading.dark);
        assert_eq!(reading.spread.round(), 40.0);
        let all_dark = read("-40|-40", Quantity::Level(LevelUnit::Dbm));
        assert!(all_dark.dark && !all_dark.dark_lane);
    }

    /// Common practice: collectors join the lanes of a port with whatever is at hand.
    #[test]
    fn lists_of_lanes_and_decimal_commas_are_told_apart() {
        let reading = |cell: &str| read(cell, Quantity::Level(LevelUnit::Dbm));
        for cell in [
            "-2.1, -2.3, -1.9, -2.0",
            "-2.1 -2.3",
            "-2.1,-2.3",
            "-2,1, -2,3",
            "-2.1 dBm, -2.3 dBm",
            "-2 -3",
        ] {
            assert!(reading(cell).turns.contains(&Turn::Lanes) && !reading(cell).bad, "{cell}");
        }
        assert_eq!(reading("-2.1, -2.3, -1.9").value.map(f64::round), Some(-230.0));
        for cell in ["-7,9", "-7, 9", "- 7.9", "-1 590", "-7,9 dBm"] {
            assert!(!reading(cell).turns.contains(&Turn::Lanes) && !reading(cell).bad, "{cell}");
        }
        assert_eq!(reading("-7,9").value.map(f64::round), Some(-790.0));
    }

    /// Boiling water: 212 °F = 100 °C; 98.6 °F = 37 °C (by the definition of the scale).
    #[test]
    fn units_of_readings() {
        let value = |cell: &str, quantity| read(cell, quantity).value.map(f64::round);
        assert_eq!(value("212 F", Quantity::Temperature), Some(10_000.0));
        assert_eq!(value("98.6 °F", Quantity::Temperature), Some(3_700.0));
        assert_eq!(value("40C", Quantity::Temperature), Some(4_000.0));
        assert_eq!(value("3300 mV", Quantity::Voltage), Some(330.0));
        assert_eq!(value("3.3V", Quantity::Voltage), Some(330.0));
        assert_eq!(value("-2.1 dBm (0.617 mW)", Quantity::Level(LevelUnit::Dbm)), Some(-210.0));
        assert_eq!(read("5 V", Quantity::Voltage).turns, [Turn::UnitInCell]);
    }

    /// 1 ft = 0.3048 m exactly (international foot).
    #[test]
    fn feet_among_meters() {
        let meters = |cell: &str| read(cell, Quantity::Length(1.0)).value;
        assert_eq!(meters("60"), Some(60.0));
        assert_eq!(meters("200'"), Some(60.96));
        assert_eq!(meters("0.06 km"), Some(60.0));
        assert!(read("60 bananas", Quantity::Length(1.0)).bad);
        assert_eq!(read("1,310.00", Quantity::Length(1.0)).value, Some(1310.0));
        assert_eq!(read("1.310,5", Quantity::Length(1.0)).value, Some(1310.5));
        assert_eq!(read("8,4", Quantity::Length(1000.0)).value, Some(8400.0));
    }

    #[test]
    fn what_is_no_number_is_said() {
        for cell in ["abc", "1.2.3", "7.9 dBx", "-", "up"] {
            let reading = read(cell, Quantity::Temperature);
            assert!(reading.value.is_none(), "{cell}");
        }
        assert!(read("abc", Quantity::Temperature).bad);
        assert!(read("38 °C", Quantity::Temperature).value.is_some());
    }
}
