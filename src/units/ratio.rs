//! Shares and probabilities.

/// A share in percent: slack, a tap's ratio. Not a probability.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
pub struct Percent(f64);

impl Percent {
    /// Wraps a number of percent (2 % = 2.0).
    pub const fn new(percent: f64) -> Self {
        Self(percent)
    }

    /// The number of percent.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// As a fraction (2 % = 0.02).
    pub fn fraction(self) -> f64 {
        self.0 / 100.0
    }
}

impl std::fmt::Display for Percent {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} %", self.0)
    }
}

/// A probability, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Probability(f64);

impl Probability {
    /// Certainty.
    pub const ONE: Self = Self(1.0);
    /// Impossibility.
    pub const ZERO: Self = Self(0.0);

    /// `None` unless `0 <= value <= 1`.
    pub fn new(value: f64) -> Option<Self> {
        (0.0..=1.0).contains(&value).then_some(Self(value))
    }

    /// The nearest probability: what is left of a computed one that rounding pushed past 0 or 1.
    pub(crate) fn clamped(value: f64) -> Self {
        Self(if value.is_nan() { 0.0 } else { value.clamp(0.0, 1.0) })
    }

    /// 0 to 1.
    pub const fn value(self) -> f64 {
        self.0
    }

    /// The probability of the contrary.
    #[must_use]
    pub fn complement(self) -> Self {
        Self(1.0 - self.0)
    }
}

impl std::fmt::Display for Probability {
    /// Percent; never "100 %" for what is not certain: 99.97 %, > 99.999 %.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let percent = self.0 * 100.0;
        if self.0 >= 0.999_99 {
            return write!(f, "> 99.999 %");
        }
        if self.0 < 0.001 {
            return write!(f, "< 0.1 %");
        }
        if self.0 <= 0.99 {
            return write!(f, "{:.1} %", floor(percent, 10.0));
        }
        let text = format!("{:.3}", floor(percent, 1000.0));
        let shortest = text.trim_end_matches('0');
        let zero = if shortest.ends_with('.') { "0" } else { "" };
        write!(f, "{shortest}{zero} %")
    }
}

/// Rounds down in steps of `1 / steps`; a value that is such a step but for binary noise stays.
fn floor(value: f64, steps: f64) -> f64 {
    (value * steps + 1e-7).floor() / steps
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_probability_never_prints_as_certain() {
        let shown = |p: f64| Probability::clamped(p).to_string();
        assert_eq!(shown(0.999_999_9), "> 99.999 %");
        assert_eq!(shown(0.999_651), "99.965 %");
        assert_eq!(shown(0.995), "99.5 %");
        assert_eq!(shown(0.999), "99.9 %");
        assert_eq!(shown(0.724), "72.4 %");
        assert_eq!(shown(0.000_01), "< 0.1 %");
        assert_eq!(shown(0.0), "< 0.1 %");
        assert_eq!(Probability::new(1.2), None);
        assert_eq!(Probability::new(f64::NAN), None);
    }
}
