//! [`Shape`]: how the loss of one element is distributed.

use super::kernel::{Kernel, weibull_squared_variation};
use super::{clamped, inner, normal};
use crate::units::{Decibels, Probability};
use thiserror::Error;

/// Largest figure accepted, dB: far beyond any element, and keeps every sum finite.
const LARGEST: f64 = 1e6;
/// A gamma law this close to symmetric (skewness 0.002) is taken as normal.
const NEARLY_NORMAL: f64 = 1e6;
/// Standard deviations above its start from which a normal law is not cut: 6e-16 of it would be.
const NEVER_CUT: f64 = 8.0;
/// Standard deviations below its start down to which the middle of a cut normal law may lie: what is
/// left there is exponential but for 0.3 % of its spread.
const DEEPEST_CUT: f64 = 18.0;
/// Widest spread accepted, as a multiple of the mean above the start.
const WIDEST: f64 = 100.0;

/// Why figures do not make a [`Shape`].
#[derive(Clone, Copy, Debug, Error, PartialEq)]
pub enum ShapeError {
    /// A figure is not a number, infinite, or beyond a million dB.
    #[error("a loss figure is not a finite number of at most 1000000 dB")]
    NotFinite,
    /// A standard deviation, width or scale is below zero.
    #[error("a spread of {0} dB is below zero")]
    NegativeSpread(f64),
    /// The figures are not in the order `start <= mean` or `least <= most`.
    #[error("{low} dB is asked to be at most {high} dB, and is not")]
    Unordered {
        /// The figure that should be the smaller one, dB.
        low: f64,
        /// The figure that should be the larger one, dB.
        high: f64,
    },
    /// The spread is out of all proportion to the mean above the start.
    #[error("a spread of {spread} dB does not go with a mean of {mean} dB above the start")]
    OutOfProportion {
        /// The standard deviation asked for, dB.
        spread: f64,
        /// The mean above the start asked for, dB.
        mean: f64,
    },
}

/// Steepness of a Weibull law, dimensionless: 1 is exponential, 3.6 nearly symmetric.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct Steepness(f64);

impl Steepness {
    /// A steepness between 0.2 and 10,000.
    pub fn new(value: f64) -> Option<Self> {
        (0.2..=10_000.0).contains(&value).then_some(Self(value))
    }

    /// The dimensionless number.
    pub fn value(self) -> f64 {
        self.0
    }
}

/// The probability law of the loss of one element at one wavelength.
///
/// All laws but the normal one start at a figure and never go below it, as losses do. The normal
/// law is *not* cut at zero: it stands for fiber and for splitters, whose mean is many standard
/// deviations away from zero (0.35 dB/km against a spread of some 0.01 dB/km), so that the mass
/// below zero is nil, and uncut normal laws add in closed form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shape(pub(super) Parts);

/// A law taken apart: `constant + sqrt(variance) * Z + kernel`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Parts {
    pub(super) constant: f64,
    pub(super) variance: f64,
    pub(super) kernel: Option<Kernel>,
}

impl Shape {
    /// A loss without spread.
    pub fn fixed(loss: Decibels) -> Result<Self, ShapeError> {
        Ok(Self::constant(finite(loss)?))
    }

    /// The normal law.
    pub fn normal(mean: Decibels, spread: Decibels) -> Result<Self, ShapeError> {
        let sd = spread_of(spread)?;
        Ok(Self(Parts { constant: finite(mean)?, variance: sd * sd, kernel: None }))
    }

    /// Constant density between `least` and `most`.
    pub fn uniform(least: Decibels, most: Decibels) -> Result<Self, ShapeError> {
        let (start, width) = above(least, most)?;
        Ok(Self::starting(start, (width > 0.0).then_some(Kernel::Uniform { width })))
    }

    /// The exponential law that starts at `start` and has the mean `mean` (start included): the
    /// loss of a joint whose lateral offset is normal in both directions.
    pub fn exponential(start: Decibels, mean: Decibels) -> Result<Self, ShapeError> {
        let (start, scale) = above(start, mean)?;
        Ok(Self::starting(start, (scale > 0.0).then_some(Kernel::Gamma { shape: 1.0, scale })))
    }

    /// The gamma law that starts at `start` with this mean (start included) and standard deviation.
    /// With a spread below a thousandth of the mean above the start it is taken as normal.
    pub fn gamma(start: Decibels, mean: Decibels, spread: Decibels) -> Result<Self, ShapeError> {
        let Some((start, above, sd)) = proportioned(start, mean, spread)? else {
            return Self::fixed(mean);
        };
        let shape = (above / sd).powi(2);
        if shape > NEARLY_NORMAL {
            return Self::normal(mean, spread);
        }
        Ok(Self::starting(start, Some(Kernel::Gamma { shape, scale: sd * sd / above })))
    }

    /// The Weibull law `P(loss > x) = exp(-((x - start)/scale)^steepness)`.
    pub fn weibull(start: Decibels, steepness: Steepness, scale: Decibels) -> Result<Self, ShapeError> {
        let (start, scale) = (finite(start)?, spread_of(scale)?);
        let kernel = Kernel::Weibull { steepness: steepness.value(), scale };
        Ok(Self::starting(start, (scale > 0.0).then_some(kernel)))
    }

    /// The Weibull law that starts at `start` with this mean (start included) and standard deviation.
    pub fn weibull_with(start: Decibels, mean: Decibels, spread: Decibels) -> Result<Self, ShapeError> {
        let Some((start, above, sd)) = proportioned(start, mean, spread)? else {
            return Self::fixed(mean);
        };
        let wanted = (sd / above).powi(2);
        let (mut flat, mut steep) = (0.2_f64, 10_000.0_f64);
        if !(weibull_squared_variation(steep)..=weibull_squared_variation(flat)).contains(&wanted) {
            return Err(ShapeError::OutOfProportion { spread: sd, mean: above });
        }
        for _ in 0..80 {
            let middle = (flat * steep).sqrt();
            if weibull_squared_variation(middle) > wanted { flat = middle } else { steep = middle }
        }
        let unit = Kernel::Weibull { steepness: steep, scale: 1.0 };
        let kernel = Kernel::Weibull { steepness: steep, scale: above / unit.mean() };
        Ok(Self::starting(start, Some(kernel)))
    }

    /// The lognormal law, moved to start at `start`, with this mean (start included) and standard deviation.
    pub fn log_normal(start: Decibels, mean: Decibels, spread: Decibels) -> Result<Self, ShapeError> {
        let Some((start, above, sd)) = proportioned(start, mean, spread)? else {
            return Self::fixed(mean);
        };
        let squared = (sd / above).powi(2).ln_1p();
        let kernel = Kernel::LogNormal { location: above.ln() - 0.5 * squared, spread: squared.sqrt() };
        Ok(Self::starting(start, Some(kernel)))
    }

    /// `start` plus the absolute value of a normal variable of mean 0 and standard deviation `sigma`.
    pub fn half_normal(start: Decibels, sigma: Decibels) -> Result<Self, ShapeError> {
        let (start, sigma) = (finite(start)?, spread_of(sigma)?);
        Ok(Self::starting(start, (sigma > 0.0).then_some(Kernel::HalfNormal { sigma })))
    }

    /// A normal law of which only what lies above `start` is kept: `center` and `sigma` are mean and
    /// standard deviation of the uncut law, not of what is left of it.
    pub fn cut_normal(start: Decibels, center: Decibels, sigma: Decibels) -> Result<Self, ShapeError> {
        let (start, center, sigma) = (finite(start)?, finite(center)?, spread_of(sigma)?);
        if sigma == 0.0 {
            let (low, high) = (Decibels::new(start), Decibels::new(center));
            return above(low, high).and_then(|_| Self::fixed(high));
        }
        let above = (center - start) / sigma;
        if above > NEVER_CUT {
            return Self::normal(Decibels::new(center), Decibels::new(sigma));
        }
        if above < -DEEPEST_CUT {
            return Err(ShapeError::OutOfProportion { spread: sigma, mean: center - start });
        }
        Ok(Self::starting(start, Some(Kernel::CutNormal { center: center - start, sigma })))
    }

    /// The normal law cut at `start` of which what is left has this mean (start included) and
    /// standard deviation. The exponential law is its limit: its spread is below its mean above the
    /// start.
    pub fn truncated_normal(
        start: Decibels,
        mean: Decibels,
        spread: Decibels,
    ) -> Result<Self, ShapeError> {
        let Some((start, above, sd)) = proportioned(start, mean, spread)? else {
            return Self::fixed(mean);
        };
        let ratio = |cut: f64| normal::variance_above(cut).sqrt() / normal::mean_above(cut);
        let (mut low, mut high) = (-NEVER_CUT, DEEPEST_CUT);
        if sd / above < ratio(low) {
            return Self::normal(mean, spread);
        }
        if sd / above > ratio(high) {
            return Err(ShapeError::OutOfProportion { spread: sd, mean: above });
        }
        for _ in 0..80 {
            let middle = 0.5 * (low + high);
            if ratio(middle) < sd / above { low = middle } else { high = middle }
        }
        let sigma = above / normal::mean_above(low);
        Ok(Self::starting(start, Some(Kernel::CutNormal { center: -low * sigma, sigma })))
    }

    fn constant(constant: f64) -> Self {
        Self(Parts { constant, variance: 0.0, kernel: None })
    }

    fn starting(constant: f64, kernel: Option<Kernel>) -> Self {
        Self(Parts { constant, variance: 0.0, kernel })
    }

    /// The mean.
    pub fn mean(&self) -> Decibels {
        Decibels::new(self.0.constant + self.0.kernel.map_or(0.0, |kernel| kernel.mean()))
    }

    /// The standard deviation.
    pub fn spread(&self) -> Decibels {
        let kernel = self.0.kernel.map_or(0.0, |kernel| kernel.variance());
        Decibels::new((self.0.variance + kernel).sqrt())
    }

    /// Probability that the loss is at most `loss`.
    pub fn cdf(&self, loss: Decibels) -> Probability {
        let x = loss.value() - self.0.constant;
        clamped(match self.0.kernel {
            Some(kernel) => kernel.cdf(x),
            None if self.0.variance > 0.0 => normal::cdf(x / self.0.variance.sqrt()),
            None => f64::from(u8::from(x >= 0.0)),
        })
    }

    /// The loss not exceeded with probability `p`; `p` is taken no nearer to 0 or 1 than 1e-12.
    pub fn quantile(&self, p: Probability) -> Decibels {
        let p = inner(p);
        let random = match self.0.kernel {
            Some(kernel) => kernel.quantile(p),
            None => self.0.variance.sqrt() * normal::quantile(p),
        };
        Decibels::new(self.0.constant + random)
    }
}

fn finite(figure: Decibels) -> Result<f64, ShapeError> {
    let value = figure.value();
    if value.abs() <= LARGEST { Ok(value) } else { Err(ShapeError::NotFinite) }
}

fn spread_of(figure: Decibels) -> Result<f64, ShapeError> {
    let value = finite(figure)?;
    if value < 0.0 { Err(ShapeError::NegativeSpread(value)) } else { Ok(value) }
}

/// The lower figure and how far the upper one is above it.
fn above(low: Decibels, high: Decibels) -> Result<(f64, f64), ShapeError> {
    let (low, high) = (finite(low)?, finite(high)?);
    if low <= high { Ok((low, high - low)) } else { Err(ShapeError::Unordered { low, high }) }
}

/// Start, mean above the start and standard deviation; `None` when there is no spread.
fn proportioned(
    start: Decibels,
    mean: Decibels,
    spread: Decibels,
) -> Result<Option<(f64, f64, f64)>, ShapeError> {
    let (start, above) = above(start, mean)?;
    let sd = spread_of(spread)?;
    if sd == 0.0 {
        return Ok(None);
    }
    if sd > WIDEST * above {
        return Err(ShapeError::OutOfProportion { spread: sd, mean: above });
    }
    Ok(Some((start, above, sd)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn db(value: f64) -> Decibels {
        Decibels::new(value)
    }

    fn p(value: f64) -> Probability {
        Probability::new(value).unwrap()
    }

    fn all() -> Vec<Shape> {
        vec![
            Shape::normal(db(0.35), db(0.02)).unwrap(),
            Shape::uniform(db(0.1), db(0.5)).unwrap(),
            Shape::exponential(db(0.01), db(0.06)).unwrap(),
            Shape::gamma(db(0.0), db(0.12), db(0.058)).unwrap(),
            Shape::gamma(db(0.0), db(0.05), db(0.09)).unwrap(),
            Shape::weibull_with(db(0.05), db(0.25), db(0.12)).unwrap(),
            Shape::log_normal(db(0.0), db(0.2), db(0.1)).unwrap(),
            Shape::truncated_normal(db(0.1), db(0.2), db(0.08)).unwrap(),
            Shape::half_normal(db(0.02), db(0.1)).unwrap(),
        ]
    }

    #[test]
    fn refuses_figures_that_are_no_law() {
        assert_eq!(Shape::fixed(db(f64::NAN)), Err(ShapeError::NotFinite));
        assert_eq!(Shape::normal(db(1.0), db(f64::INFINITY)), Err(ShapeError::NotFinite));
        assert_eq!(Shape::normal(db(1.0), db(-0.1)), Err(ShapeError::NegativeSpread(-0.1)));
        assert_eq!(Shape::half_normal(db(1.0), db(-0.1)), Err(ShapeError::NegativeSpread(-0.1)));
        assert_eq!(Shape::uniform(db(2.0), db(1.0)), Err(ShapeError::Unordered { low: 2.0, high: 1.0 }));
        assert!(Shape::gamma(db(0.3), db(0.2), db(0.1)).is_err());
        assert!(Shape::gamma(db(0.2), db(0.2), db(0.1)).is_err());
        assert!(Shape::log_normal(db(0.0), db(1e-4), db(0.1)).is_err());
        assert!(Shape::truncated_normal(db(0.0), db(0.1), db(0.1)).is_err());
        assert!(Steepness::new(f64::NAN).is_none());
    }

    #[test]
    fn no_spread_is_a_fixed_loss() {
        let fixed = Shape::fixed(db(0.2)).unwrap();
        assert_eq!(Shape::gamma(db(0.1), db(0.2), db(0.0)).unwrap(), fixed);
        assert_eq!(Shape::uniform(db(0.2), db(0.2)).unwrap(), fixed);
        assert_eq!(Shape::exponential(db(0.2), db(0.2)).unwrap(), fixed);
        assert_eq!(Shape::weibull_with(db(0.1), db(0.2), db(0.0)).unwrap(), fixed);
        assert_eq!(Shape::log_normal(db(0.1), db(0.2), db(0.0)).unwrap(), fixed);
    }

    #[test]
    fn quantile_inverts_cdf() {
        for shape in all() {
            for asked in [1e-9, 1e-3, 0.1, 0.5, 0.97, 0.999, 1.0 - 1e-9] {
                let back = shape.cdf(shape.quantile(p(asked))).value();
                assert_relative_eq!(back, asked, max_relative = 1e-7);
                assert_relative_eq!(1.0 - back, 1.0 - asked, max_relative = 1e-4);
            }
        }
    }

    #[test]
    fn moments_are_those_asked_for() {
        let asked = [
            (0.35, 0.02),
            (0.3, 0.4 / 12_f64.sqrt()),
            (0.06, 0.05),
            (0.12, 0.058),
            (0.05, 0.09),
            (0.25, 0.12),
            (0.2, 0.1),
            (0.2, 0.08),
        ];
        for (shape, (mean, spread)) in all().iter().zip(asked) {
            assert_relative_eq!(shape.mean().value(), mean, max_relative = 1e-12);
            assert_relative_eq!(shape.spread().value(), spread, max_relative = 1e-9);
        }
    }

    #[test]
    fn connector_grades_meet_their_mean_and_their_97_percent() {
        // Single-mode connector grades B, C, D of IEC 61753-1 and IEC 61755-1: mean and 97 % value
        // (from memory); the Weibull parameters through both, fitted with mpmath.
        for (k, scale, mean, most) in [
            (2.047_286_905_06, 0.135_454_100_238, 0.12, 0.25),
            (2.194_652_270_25, 0.282_288_579_663, 0.25, 0.50),
            (2.194_652_270_25, 0.564_577_159_327, 0.50, 1.00),
        ] {
            let shape = Shape::weibull(db(0.0), Steepness::new(k).unwrap(), db(scale)).unwrap();
            assert_relative_eq!(shape.mean().value(), mean, max_relative = 1e-9);
            assert_relative_eq!(shape.quantile(p(0.97)).value(), most, max_relative = 1e-9);
        }
    }
}
