//! Written numbers: decimal commas, units in the cell, sentinels for dark, lists of lanes.

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
    /// A unit that is not the column's was written.
    pub foreign_unit: bool,
    /// Greatest less least of the lanes that are lit, hundredths.
    pub spread: f64,
    /// A lane is dark while others are lit.
    pub dark_lane: bool,
    /// In which ways the cell was read as something else than it says.
    pub turns: Vec<Turn>,
}

/// Words for nothing measured. In a column of levels they say dark, elsewhere they say nothing.
const NOTHING: [&str; 12] =
    ["n/a", "na", "-", "--", "---", "nan", "-inf", "null", "none", "los", "low", "dark"];

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

/// A list of lanes: `a|b|c|d`, `a;b`, `a/b`.
fn lanes(text: &str) -> Option<Vec<&str>> {
    let mark = ['|', ';', '/'].into_iter().find(|mark| text.contains(*mark))?;
    let word = text.to_ascii_lowercase();
    if NOTHING.contains(&word.as_str()) {
        return None;
    }
    Some(text.split(mark).map(str::trim).collect())
}

fn read_lanes(parts: &[&str], quantity: Quantity, reading: &mut Reading) {
    reading.turns.push(Turn::Lanes);
    let mut lit: Vec<f64> = Vec::new();
    let mut dark = false;
    for part in parts {
        let mut lane = Reading::default();
        one(part, quantity, &mut lane);
        reading.bad |= lane.bad;
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
    let lower = text.to_lowercase();
    if NOTHING.contains(&lower.as_str()) {
        if level {
            reading.dark = true;
            reading.turns.push(Turn::Dark);
        }
        return;
    }
    let Some((number, unit)) = scan(&lower, quantity, &mut reading.turns) else {
        reading.bad = true;
        return;
    };
    match quantity {
        Quantity::Level(head) => read_level(number, &unit, head, reading),
        Quantity::Length(meters) => read_length(number, &unit, meters, reading),
        _ => read_plain(number, &unit, quantity, reading),
    }
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
        Quantity::Temperature => &["c", "°c", "degc", "deg c", "° c"],
        Quantity::Bias => &["ma"],
        Quantity::Voltage => &["v"],
        _ => &[],
    };
    if !unit.is_empty() {
        if !known.contains(&unit) {
            reading.bad = true;
            return;
        }
        reading.turns.push(Turn::UnitInCell);
    }
    reading.value = Some(number * 100.0);
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
                if digits.len() < 2 || next.starts_with(|c: char| c.is_ascii_digit()) =>
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
    Some((number, rest.trim().to_string()))
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
        for cell in ["-40", "-40.00", "-99", "N/A", "--", "-inf", "0.0 mW", "-999", "LOS"] {
            let reading = read(cell, Quantity::Level(LevelUnit::Dbm));
            assert!(reading.dark && reading.value.is_none() && !reading.bad, "{cell}: {reading:?}");
            assert!(reading.turns.contains(&Turn::Dark), "{cell}");
        }
        assert!(!read("N/A", Quantity::Loss).bad);
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
