//! What an optic measures of itself and asks of its cage.

use super::{DecibelMilliwatts, linear, quantity};

quantity!(
    /// A temperature in degrees Celsius.
    DegreesCelsius,
    "°C",
    1
);

quantity!(
    /// A supply voltage in volts.
    Volts,
    "V",
    3
);

quantity!(
    /// A laser's bias current in milliamperes.
    Milliamperes,
    "mA",
    2
);

quantity!(
    /// An electrical power in watts.
    Watts,
    "W",
    1
);
linear!(Watts);

quantity!(
    /// An optical power in milliwatts. Zero is darkness and has no level in dBm.
    Milliwatts,
    "mW",
    4
);
linear!(Milliwatts);

quantity!(
    /// A symbol rate in MBd.
    Megabaud,
    "MBd",
    0
);

impl Milliwatts {
    /// The level in dBm; `None` for darkness (0 mW and below).
    pub fn level(self) -> Option<DecibelMilliwatts> {
        (self.value() > 0.0).then(|| DecibelMilliwatts::new(10.0 * self.value().log10()))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.274 mW is -5.62 dBm (decode of a module, restated in a change log of an operating system).
    #[test]
    fn darkness_has_no_level() {
        let level = |mw: f64| Milliwatts::new(mw).level().map(DecibelMilliwatts::value);
        approx::assert_abs_diff_eq!(level(0.274).unwrap_or(f64::NAN), -5.62, epsilon = 0.005);
        assert_eq!(level(1.0), Some(0.0));
        assert_eq!(level(0.0), None);
        assert_eq!(level(f64::NAN), None);
    }
}
