//! How the launch power and the sensitivity of specimens spread.

use super::{Optic, RowId, Tables};
use crate::units::{DecibelMilliwatts, Decibels};

/// A level of an optic as its specimens have it: a normal law.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SpreadLevel {
    /// Mean over specimens.
    pub mean: DecibelMilliwatts,
    /// Standard deviation over specimens.
    pub spread: Decibels,
}

/// Levels of one optic over its specimens; what is not stated is taken at its worst value.
#[derive(Debug, Clone, PartialEq)]
pub struct OpticSpread {
    /// Mean launch power.
    pub launch: Option<SpreadLevel>,
    /// Receiver sensitivity, in the terms in which the optic's least receive level is stated.
    pub sensitivity: Option<SpreadLevel>,
}

/// By how much specimens are better than the worst value that is stated for them: a normal law. It
/// serves the statistics alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surplus {
    /// Mean, dB above the worst value; not negative.
    pub mean: Decibels,
    /// Standard deviation.
    pub spread: Decibels,
}

impl Surplus {
    /// Largest figure that is believed.
    const MOST_DB: f64 = 30.0;

    /// From its two figures.
    ///
    /// # Errors
    /// A figure outside 0 to 30 dB.
    pub fn of(mean: Decibels, spread: Decibels) -> Result<Self, String> {
        for figure in [mean, spread] {
            if !(0.0..=Self::MOST_DB).contains(&figure.value()) {
                return Err(format!("{figure} is not between 0 and {} dB", Self::MOST_DB));
            }
        }
        Ok(Self { mean, spread })
    }

    /// From its two figures as they are written: `1.5 dB, 0.5 dB`.
    ///
    /// # Errors
    /// What is wrong with the text, and what was expected.
    pub fn parse(text: &str) -> Result<Self, String> {
        use crate::units::Quantity;
        let expected = "expected how far the mean is better than the worst value, and the standard deviation, \
                        such as `1.5 dB, 0.5 dB`";
        let (mean, spread) = text.split_once(',').ok_or_else(|| expected.to_string())?;
        let figure =
            |text: &str| Decibels::parse(text.trim()).map_err(|error| format!("{error}; {expected}"));
        Self::of(figure(mean)?, figure(spread)?)
    }
}

impl Tables {
    /// The row of `optic-spreads` for an optic, whatever channel it is set to.
    pub fn spread_row(&self, optic: &Optic) -> Option<RowId> {
        let set = || optic.name.rsplit_once(' ').and_then(|(name, _)| self.optic_spreads.find(name));
        self.optic_spreads.find(&optic.name).or_else(set)
    }

    /// By how much the launch and the sensitivity of an optic are better than their worst values, by the
    /// row of the table `optic-spreads`; `None` where it states nothing or the worst value is not known.
    pub fn surplus_of(&self, optic: &Optic) -> [Option<Surplus>; 2] {
        let Some(id) = self.spread_row(optic) else { return [None; 2] };
        let row = self.optic_spreads.row(id);
        let of = |level: Option<SpreadLevel>,
                  better: fn(DecibelMilliwatts, DecibelMilliwatts) -> Decibels,
                  worst: Option<DecibelMilliwatts>| {
            let level = level?;
            Surplus::of(better(level.mean, worst?), level.spread).ok()
        };
        [
            of(row.value.launch, |mean, least| mean - least, optic.launch[0]),
            of(row.value.sensitivity, |mean, worst| worst - mean, optic.receive_least),
        ]
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_mean_and_a_spread_are_read() {
        let surplus = Surplus::parse("1.5 dB, 0.5 dB").expect("read");
        assert_eq!((surplus.mean, surplus.spread), (Decibels::new(1.5), Decibels::new(0.5)));
        for bad in ["1.5 dB", "1.5, 0.5", "-1 dB, 0.5 dB", "40 dB, 1 dB"] {
            assert!(Surplus::parse(bad).is_err(), "{bad}");
        }
    }
}
