//! Ratios in decibels and power levels in decibels above one milliwatt.

use super::{linear, quantity};

quantity!(
    /// A ratio of powers in dB: a loss (positive = light is lost), a margin, a return loss.
    ///
    /// Any finite value is allowed; what a given place accepts (a loss is never negative) is
    /// checked where the value is read.
    Decibels,
    "dB",
    2
);
linear!(Decibels);

quantity!(
    /// An optical power level in dBm (decibels above 1 mW).
    ///
    /// Two levels differ by a ratio; they do not add:
    ///
    /// ```compile_fail
    /// use spanwright::units::DecibelMilliwatts;
    /// let impossible = DecibelMilliwatts::new(1.0) + DecibelMilliwatts::new(2.0);
    /// ```
    DecibelMilliwatts,
    "dBm",
    2
);

impl Decibels {
    /// The ratio as a linear power factor at or below one for a loss: `10^(-dB/10)`.
    pub(crate) fn transmission(self) -> f64 {
        10f64.powf(-self.value() / 10.0)
    }

    /// The loss that a linear power transmission stands for: `-10 log10 t`.
    pub(crate) fn from_transmission(fraction: f64) -> Self {
        Self::new(-10.0 * fraction.log10())
    }

    /// With as many decimals as it has, two at the least and eight at the most: for messages that compare two
    /// figures, which must not look alike where they differ.
    pub fn in_full(self) -> String {
        let text = format!("{:.8}", self.value());
        let kept = text.trim_end_matches('0');
        let decimals = kept.len() - kept.find('.').map_or(kept.len(), |at| at + 1);
        format!("{self:.*}", decimals.max(2))
    }

    /// Rounds up at two decimals: how a loss is shown, so that it never looks smaller than it is.
    #[must_use]
    pub fn rounded_up(self) -> Self {
        Self::new(round_at(self.value(), f64::ceil))
    }

    /// Rounds down at two decimals: how a worst-case margin is shown.
    #[must_use]
    pub fn rounded_down(self) -> Self {
        Self::new(round_at(self.value(), f64::floor))
    }
}

/// Rounds at two decimals towards the given side; a value that is a two-decimal number already,
/// but for binary noise, stays.
fn round_at(value: f64, towards: fn(f64) -> f64) -> f64 {
    let scaled = value * 100.0;
    let nearest = scaled.round();
    let kept = if (scaled - nearest).abs() < 1e-7 { nearest } else { towards(scaled) };
    // Avoids a printed "-0.00".
    kept / 100.0 + 0.0
}

impl DecibelMilliwatts {
    /// The power in milliwatts.
    pub(crate) fn milliwatts(self) -> f64 {
        10f64.powf(self.value() / 10.0)
    }

    /// Sum of several powers in one fiber: added in milliwatts. `None` for an empty list.
    pub fn total(levels: impl IntoIterator<Item = Self>) -> Option<Self> {
        let sum: f64 = levels.into_iter().map(Self::milliwatts).sum();
        (sum > 0.0).then(|| Self::new(10.0 * sum.log10()))
    }
}

impl std::ops::Sub for DecibelMilliwatts {
    type Output = Decibels;
    fn sub(self, other: Self) -> Decibels {
        Decibels::new(self.value() - other.value())
    }
}

impl std::ops::Sub<Decibels> for DecibelMilliwatts {
    type Output = Self;
    fn sub(self, loss: Decibels) -> Self {
        Self::new(self.value() - loss.value())
    }
}

impl std::ops::Add<Decibels> for DecibelMilliwatts {
    type Output = Self;
    fn add(self, gain: Decibels) -> Self {
        Self::new(self.value() + gain.value())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn losses_round_up_and_margins_down() {
        assert_eq!(Decibels::new(28.0101).rounded_up().value(), 28.02);
        assert_eq!(Decibels::new(0.999).rounded_down().value(), 0.99);
        assert_eq!(Decibels::new(-0.001).rounded_down().value(), -0.01);
        // 0.1 + 0.2 is not 0.3 in binary; the shown figure must not climb for that.
        assert_eq!(Decibels::new(0.1 + 0.2).rounded_up().value(), 0.3);
        assert_eq!(Decibels::new(28.0 - 27.99).rounded_down().value(), 0.01);
    }

    /// Two +7 dBm sources in one fiber: 10.0103 dBm; four of +11: 17.0206 dBm (plain arithmetic
    /// of powers, common practice).
    #[test]
    fn powers_add_in_milliwatts() {
        let two =
            DecibelMilliwatts::total([DecibelMilliwatts::new(7.0); 2]).map(DecibelMilliwatts::value);
        let four =
            DecibelMilliwatts::total([DecibelMilliwatts::new(11.0); 4]).map(DecibelMilliwatts::value);
        approx::assert_abs_diff_eq!(two.unwrap_or(f64::NAN), 10.0103, epsilon = 5e-5);
        approx::assert_abs_diff_eq!(four.unwrap_or(f64::NAN), 17.0206, epsilon = 5e-5);
        assert_eq!(DecibelMilliwatts::total([]), None);
    }
}
