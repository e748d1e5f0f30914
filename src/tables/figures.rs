//! The loss of one element, as a table states it.

use crate::units::{Decibels, Kilometers};

/// The form of an element's loss distribution.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ShapeKind {
    /// No spread.
    Fixed,
    /// Normal around `typical`.
    Normal,
    /// Normal, cut at `least`; `typical` and `spread` are those of what is left.
    TruncatedNormal,
    /// Uniform from `least` to `most`.
    Uniform,
    /// Gamma that starts at `least`.
    Gamma,
    /// Weibull that starts at `least`.
    Weibull,
    /// Lognormal that starts at `least`.
    LogNormal,
    /// Exponential that starts at `least`.
    Exponential,
}

impl ShapeKind {
    const ALL: [(Self, &'static str); 8] = [
        (Self::Fixed, "fixed"),
        (Self::Normal, "normal"),
        (Self::TruncatedNormal, "truncated-normal"),
        (Self::Uniform, "uniform"),
        (Self::Gamma, "gamma"),
        (Self::Weibull, "weibull"),
        (Self::LogNormal, "lognormal"),
        (Self::Exponential, "exponential"),
    ];

    /// From the word in a table.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::ALL.iter().find(|(_, w)| *w == word).map(|(shape, _)| *shape)
    }

    /// The words a table may use.
    pub fn words() -> impl Iterator<Item = &'static str> {
        Self::ALL.iter().map(|(_, word)| *word)
    }
}

/// What one element loses at one wavelength.
///
/// `least <= typical <= most`, all in dB. `typical` is the mean of the distribution, `spread` its
/// standard deviation. For connectors `most` is the figure that 97 % of matings keep (IEC 61755-1),
/// so the distribution reaches beyond it; for fiber and splitters it is the specified maximum.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LossFigures {
    /// The lowest loss to count with (overload is judged with it).
    pub least: Decibels,
    /// The mean.
    pub typical: Decibels,
    /// The highest loss to count with (the worst case is judged with it).
    pub most: Decibels,
    /// Standard deviation.
    pub spread: Decibels,
    /// Form of the distribution.
    pub shape: ShapeKind,
}

/// Why figures were refused.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum FiguresError {
    /// A number is not finite or is below zero.
    #[error("a loss is a finite number of dB, not below 0")]
    NotALoss,
    /// `least <= typical <= most` does not hold.
    #[error("least <= typical <= most does not hold")]
    Unordered,
}

impl LossFigures {
    /// Nothing lost, nothing spread.
    pub const ZERO: Self = Self::fixed(Decibels::ZERO);

    /// A loss known exactly.
    pub const fn fixed(loss: Decibels) -> Self {
        Self { least: loss, typical: loss, most: loss, spread: Decibels::ZERO, shape: ShapeKind::Fixed }
    }

    /// A measured loss: known to within `uncertainty` (two standard deviations) each way.
    pub fn measured(loss: Decibels, uncertainty: Decibels) -> Self {
        let least = (loss - uncertainty).max(Decibels::ZERO);
        let spread = uncertainty * 0.5;
        let shape = if spread == Decibels::ZERO { ShapeKind::Fixed } else { ShapeKind::Normal };
        Self { least, typical: loss, most: loss + uncertainty, spread, shape }
    }

    /// Checks the order and the range of the figures.
    ///
    /// # Errors
    /// [`FiguresError`] for a negative or non-finite number, or figures out of order.
    pub fn checked(self) -> Result<Self, FiguresError> {
        let all = [self.least, self.typical, self.most, self.spread];
        if all.iter().any(|d| !d.is_finite() || d.value() < 0.0) {
            return Err(FiguresError::NotALoss);
        }
        if self.least > self.typical || self.typical > self.most {
            return Err(FiguresError::Unordered);
        }
        Ok(self)
    }

    /// Figures of what is in one kilometer, over a length: what is in each kilometer is independent of
    /// the others, so that the spread grows with the root of the length.
    #[must_use]
    pub fn over(self, length: Kilometers) -> Self {
        let km = length.value();
        Self {
            least: self.least * km,
            typical: self.typical * km,
            most: self.most * km,
            spread: self.spread * km.sqrt(),
            shape: self.shape,
        }
    }

    /// The worst-case figures of several equal elements: least, typical and most add; the spread
    /// of independent elements grows with the square root of their number.
    #[must_use]
    pub fn times(self, count: u32) -> Self {
        let n = f64::from(count);
        Self {
            least: self.least * n,
            typical: self.typical * n,
            most: self.most * n,
            spread: self.spread * n.sqrt(),
            shape: self.shape,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn refuses_what_cannot_be() {
        let at = |least, typical, most| LossFigures {
            least: Decibels::new(least),
            typical: Decibels::new(typical),
            most: Decibels::new(most),
            spread: Decibels::ZERO,
            shape: ShapeKind::Uniform,
        };
        assert_eq!(at(0.1, 0.05, 0.2).checked(), Err(FiguresError::Unordered));
        assert_eq!(at(-0.1, 0.05, 0.2).checked(), Err(FiguresError::NotALoss));
        assert_eq!(at(0.0, f64::NAN, 0.2).checked(), Err(FiguresError::NotALoss));
        assert!(at(0.0, 0.1, 0.2).checked().is_ok());
    }
}
