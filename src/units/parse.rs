//! Written quantities: a number, a unit, nothing else; `7.4 km`, `400 m`, `1.2 mi`, `0.35 dB`.
//!
//! A unit is always demanded where a slip would be silent (lengths, losses, levels). A loss
//! written in dBm, or a level written in dB, is refused with the reason.

use super::{
    DecibelMilliwatts, Decibels, DecibelsPerKilometer, GigabitsPerSecond, Kilometers, Nanometers,
    Percent, Probability, Watts,
};

/// Why a written quantity was refused. The text says what was expected and what was probably meant.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum UnitError {
    /// No number could be read at the start.
    #[error("`{text}` is not a number with a unit; expected {expected}")]
    NotANumber {
        /// What was written.
        text: String,
        /// What was expected, with an example.
        expected: &'static str,
    },
    /// The number stands alone.
    #[error("`{text}` has no unit; expected {expected}")]
    MissingUnit {
        /// What was written.
        text: String,
        /// What was expected, with an example.
        expected: &'static str,
    },
    /// The unit is not one of this quantity.
    #[error("unit `{unit}` does not fit here; expected {expected}{hint}")]
    WrongUnit {
        /// The unit that was written.
        unit: String,
        /// What was expected, with an example.
        expected: &'static str,
        /// What was probably meant; empty or `"; …"`.
        hint: &'static str,
    },
    /// Not finite, negative or beyond what this world holds.
    #[error("{value} is out of range: {range}")]
    OutOfRange {
        /// The value with its unit.
        value: String,
        /// The allowed range.
        range: &'static str,
    },
    /// A comma stands where the decimal point belongs.
    #[error("`{text}` has a decimal comma; write it with a point")]
    DecimalComma {
        /// What was written.
        text: String,
    },
}

/// A quantity that can be read from text.
pub trait Quantity: Sized + Copy {
    /// What to write, with an example, for messages.
    const EXPECTED: &'static str;

    /// Reads the text.
    ///
    /// # Errors
    /// [`UnitError`] names what is wrong and what was expected.
    fn parse(text: &str) -> Result<Self, UnitError>;
}

/// Splits `text` into its number and its unit (either may be missing).
fn split(text: &str, expected: &'static str) -> Result<(f64, String), UnitError> {
    let trimmed = text.trim();
    let normal = trimmed.replace('\u{2212}', "-");
    let end = number_end(&normal);
    let (number, unit) = normal.split_at(end);
    if unit.starts_with(',') && unit[1..].starts_with(|c: char| c.is_ascii_digit()) {
        return Err(UnitError::DecimalComma { text: trimmed.to_string() });
    }
    let value: f64 =
        number.parse().map_err(|_| UnitError::NotANumber { text: clip(trimmed), expected })?;
    Ok((value, unit.trim().to_string()))
}

/// Where the leading number stops: sign, digits, one point, exponent with digits.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |from: usize| bytes[from..].iter().take_while(|b| b.is_ascii_digit()).count();
    let mut at = usize::from(matches!(bytes.first(), Some(b'+' | b'-')));
    at += digits(at);
    if bytes.get(at) == Some(&b'.') {
        at += 1 + digits(at + 1);
    }
    if matches!(bytes.get(at), Some(b'e' | b'E')) {
        let sign = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
        let exponent = digits(at + 1 + sign);
        if exponent > 0 {
            at += 1 + sign + exponent;
        }
    }
    at
}

/// Long input is cut in messages.
fn clip(text: &str) -> String {
    const LONGEST: usize = 40;
    if text.chars().count() <= LONGEST {
        return text.to_string();
    }
    let mut cut: String = text.chars().take(LONGEST).collect();
    cut.push('…');
    cut
}

fn in_range(
    value: f64,
    low: f64,
    high: f64,
    shown: String,
    range: &'static str,
) -> Result<f64, UnitError> {
    if value.is_finite() && value >= low && value <= high {
        Ok(value)
    } else {
        Err(UnitError::OutOfRange { value: shown, range })
    }
}

fn wrong<T>(unit: &str, text: &str, expected: &'static str, hint: &'static str) -> Result<T, UnitError> {
    if unit.is_empty() {
        return Err(UnitError::MissingUnit { text: clip(text.trim()), expected });
    }
    Err(UnitError::WrongUnit { unit: clip(unit), expected, hint })
}

impl Quantity for Kilometers {
    const EXPECTED: &'static str = "a length such as `7.4 km`, `400 m`, `1.2 mi` or `350 ft`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        // International foot and mile (exact: 0.3048 m, 1.609344 km).
        let km = match unit.to_ascii_lowercase().as_str() {
            "km" => number,
            "m" => number / 1000.0,
            "mi" | "mile" | "miles" => number * 1.609_344,
            "ft" | "'" | "feet" => number * 0.000_304_8,
            "kft" => number * 0.304_8,
            "db" | "dbm" => return wrong(&unit, text, Self::EXPECTED, "; that is a loss or a level"),
            _ => return wrong(&unit, text, Self::EXPECTED, ""),
        };
        in_range(
            km,
            0.0,
            Kilometers::LONGEST.value(),
            text.trim().to_string(),
            "a length is 0 to 20000 km",
        )
        .map(Self::new)
    }
}

impl Quantity for Decibels {
    const EXPECTED: &'static str = "a loss in dB such as `0.35 dB`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        match unit.to_ascii_lowercase().as_str() {
            "db" => {}
            "dbm" => {
                let hint = "; dBm is a power level, a loss is a ratio in dB";
                return wrong(&unit, text, Self::EXPECTED, hint);
            }
            _ => return wrong(&unit, text, Self::EXPECTED, ""),
        }
        in_range(number, 0.0, 200.0, text.trim().to_string(), "a loss is 0 to 200 dB").map(Self::new)
    }
}

impl Quantity for DecibelMilliwatts {
    const EXPECTED: &'static str = "a power level in dBm such as `-14.4 dBm`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        match unit.to_ascii_lowercase().as_str() {
            "dbm" => {}
            "db" => {
                let hint = "; dB is a ratio, a level is in dBm";
                return wrong(&unit, text, Self::EXPECTED, hint);
            }
            _ => return wrong(&unit, text, Self::EXPECTED, ""),
        }
        in_range(number, -100.0, 60.0, text.trim().to_string(), "a level is -100 to 60 dBm")
            .map(Self::new)
    }
}

impl Quantity for DecibelsPerKilometer {
    const EXPECTED: &'static str = "an attenuation such as `0.35 dB/km`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        if !unit.replace(' ', "").eq_ignore_ascii_case("dB/km") {
            return wrong(&unit, text, Self::EXPECTED, "");
        }
        in_range(number, 0.0, 100.0, text.trim().to_string(), "an attenuation is 0 to 100 dB/km")
            .map(Self::new)
    }
}

impl Quantity for Nanometers {
    const EXPECTED: &'static str = "a wavelength such as `1550 nm`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        let nm = match unit.to_ascii_lowercase().as_str() {
            "nm" => number,
            "um" | "µm" | "μm" => number * 1000.0,
            _ => return wrong(&unit, text, Self::EXPECTED, ""),
        };
        in_range(nm, 400.0, 2500.0, text.trim().to_string(), "a wavelength is 400 to 2500 nm")
            .map(Self::new)
    }
}

impl Quantity for Percent {
    const EXPECTED: &'static str = "a share such as `2 %`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        if unit != "%" {
            return wrong(&unit, text, Self::EXPECTED, "");
        }
        in_range(number, 0.0, 100.0, text.trim().to_string(), "a share is 0 to 100 %").map(Self::new)
    }
}

impl Quantity for Watts {
    const EXPECTED: &'static str = "an electrical power such as `1.5 W`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        let watts = match unit.as_str() {
            "W" | "w" => number,
            "mW" => number / 1000.0,
            _ => return wrong(&unit, text, Self::EXPECTED, ""),
        };
        in_range(watts, 0.0, 1000.0, text.trim().to_string(), "a module's power is 0 to 1000 W")
            .map(Self::new)
    }
}

impl Quantity for GigabitsPerSecond {
    const EXPECTED: &'static str = "a data rate such as `10 Gbit/s` or `10G`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        let rate = match unit.to_ascii_lowercase().as_str() {
            "gbit/s" | "gb/s" | "gbps" | "g" => number,
            "mbit/s" | "mb/s" | "mbps" | "m" => number / 1000.0,
            _ => return wrong(&unit, text, Self::EXPECTED, ""),
        };
        in_range(rate, 0.0, 10_000.0, text.trim().to_string(), "a data rate is 0 to 10000 Gbit/s")
            .map(Self::new)
    }
}

impl Quantity for Probability {
    const EXPECTED: &'static str = "a confidence in percent such as `99.9 %`";

    fn parse(text: &str) -> Result<Self, UnitError> {
        let (number, unit) = split(text, Self::EXPECTED)?;
        if !(unit.is_empty() || unit == "%") {
            return wrong(&unit, text, Self::EXPECTED, "");
        }
        let range = "a confidence is 50 % to 99.999999 % (99.9 means 99.9 %)";
        let percent = in_range(number, 50.0, 99.999_999, text.trim().to_string(), range)?;
        Ok(Self::clamped(percent / 100.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_in_every_unit() {
        let km = |text: &str| Kilometers::parse(text).map(Kilometers::value);
        assert_eq!(km("7.4 km"), Ok(7.4));
        assert_eq!(km("400m"), Ok(0.4));
        approx::assert_relative_eq!(km("1.2 mi").unwrap(), 1.931_212_8);
        approx::assert_relative_eq!(km("350 ft").unwrap(), 0.106_68);
        assert_eq!(km("1e-1 km"), Ok(0.1));
    }

    #[test]
    fn slips_are_refused_with_the_reason() {
        let says = |result: Result<String, UnitError>| result.unwrap_err().to_string();
        let loss = |text: &str| says(Decibels::parse(text).map(|d| d.to_string()));
        assert!(loss("0.35 dBm").contains("power level"));
        assert!(loss("0.35").contains("no unit"));
        assert!(loss("0,35 dB").contains("decimal comma"));
        assert!(loss("nan dB").contains("not a number"));
        assert!(loss("-1 dB").contains("0 to 200"));
        assert!(loss("1e999 dB").contains("out of range"));
        let length = |text: &str| says(Kilometers::parse(text).map(|d| d.to_string()));
        assert!(length("1e12 km").contains("out of range"));
        assert!(length("5 furlongs").contains("furlongs"));
        assert!(says(DecibelMilliwatts::parse("3 dB").map(|d| d.to_string())).contains("ratio"));
    }

    #[test]
    fn confidence_takes_percent_with_or_without_sign() {
        approx::assert_relative_eq!(Probability::parse("99.9").unwrap().value(), 0.999);
        assert_eq!(Probability::parse("95 %").map(Probability::value), Ok(0.95));
        assert!(Probability::parse("100").is_err());
        assert!(Probability::parse("0.999").is_err());
    }
}
