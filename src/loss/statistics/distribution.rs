//! [`LossDistribution`]: the law of a sum of losses, ready to be asked.

use super::kernel::Kernel;
use super::lattice::Lattice;
use super::sum::LossSum;
use super::{NEAREST, clamped, inner, normal};
use crate::units::{Decibels, Probability};
use std::sync::Arc;

/// Bound on the error of a quantile, dB, that no other bound is looked for below.
const GOOD: f64 = 1e-4;
/// Standard deviations beyond which a normal law is not followed.
const FAR: f64 = 7.5;
/// Two losses closer than this are equal: sums of decimal figures differ by rounding.
pub(super) const SAME: f64 = 1e-9;

/// The law of a sum of losses, from [`Convolver::distribution`](super::Convolver::distribution).
///
/// Cheap to clone: the computed law is shared, the constant part is added on reading.
#[derive(Clone, Debug)]
pub struct LossDistribution {
    pub(super) constant: f64,
    pub(super) mean: f64,
    pub(super) spread: f64,
    pub(super) law: Law,
}

/// The law of the random part.
#[derive(Clone)]
pub(super) enum Law {
    /// No spread.
    Fixed,
    /// Normal parts alone: closed form, mean 0.
    Normal { spread: f64 },
    /// One other law alone: closed form.
    Single(Kernel),
    /// Several laws.
    Lattice(Mixture),
    /// One of several, by chance.
    Chance(Arc<Chances>),
}

/// The law of a sum with chances: that of each case, by its probability.
pub(super) struct Chances {
    pub(super) cases: Vec<CaseLaw>,
    /// Probability of the cases left out.
    pub(super) left_out: f64,
}

/// The law of one case.
pub(super) struct CaseLaw {
    pub(super) probability: f64,
    /// Its sum, with what its chances add to the constant part alone.
    pub(super) sum: LossSum,
    pub(super) law: LossDistribution,
}

impl Chances {
    fn mean_of(&self, read: impl Fn(&LossDistribution) -> f64) -> f64 {
        self.cases.iter().map(|case| case.probability * read(&case.law)).sum()
    }

    fn greatest_of(&self, read: impl Fn(&LossDistribution) -> f64) -> f64 {
        self.cases.iter().map(|case| read(&case.law)).fold(0.0, f64::max)
    }

    fn limits(&self) -> (f64, f64) {
        self.cases
            .iter()
            .map(|case| case.law.limits())
            .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), case| {
                (low.min(case.0), high.max(case.1))
            })
    }

    /// The least value that is not exceeded with probability `p`: the law may jump, and between two
    /// cases it may hardly rise, so that the bracket is halved wherever the secant is slow.
    fn quantile(&self, p: f64) -> f64 {
        let missing = |x: f64| 1.0 - p - self.mean_of(|law| law.exceeds(x));
        let (mut low, mut high) = self.limits();
        high += SAME;
        let (mut at_low, mut at_high) = (missing(low), missing(high));
        if at_low >= 0.0 {
            return low;
        }
        for step in 0..200 {
            if high - low < 1e-11 {
                break;
            }
            let secant = low - at_low * (high - low) / (at_high - at_low);
            let halved = step % 2 == 1 || !(secant > low && secant < high);
            let x = if halved { 0.5 * (low + high) } else { secant };
            let here = missing(x);
            if here < 0.0 {
                (low, at_low) = (x, here);
            } else {
                (high, at_high) = (x, here);
            }
        }
        high
    }

    /// Bound on the error of the quantile of `p`. With all probabilities known to `e`, the quantile
    /// lies between those of `p - e` and `p + e`; the lattices know besides that nothing has moved by
    /// more than `t` but for a probability `s`.
    fn quantile_error(&self, p: f64) -> f64 {
        let here = self.quantile(p);
        let between = |e: f64| {
            let (low, high) = (p - e, p + e);
            if e == 0.0 {
                0.0
            } else if low < NEAREST || high > 1.0 - NEAREST {
                f64::INFINITY
            } else {
                (self.quantile(high) - here).max(here - self.quantile(low))
            }
        };
        let by_law = between(self.greatest_of(LossDistribution::probability_error) + self.left_out);
        if by_law < GOOD {
            return by_law;
        }
        let moved = self.greatest_of(|law| law.moved().0);
        let unsure = self.greatest_of(|law| law.moved().1) + self.left_out;
        by_law.min(moved + between(unsure))
    }
}

/// Two lattices whose normal parts have the variances next below and next above the true one, mixed
/// by `weight` (of the upper) so that the variance is right.
#[derive(Clone)]
pub(super) struct Mixture {
    pub(super) lower: Arc<Lattice>,
    pub(super) upper: Arc<Lattice>,
    pub(super) weight: f64,
}

impl Mixture {
    fn cdf(&self, x: f64) -> f64 {
        self.mixed(|lattice| lattice.cdf(x))
    }

    fn mixed(&self, read: impl Fn(&Lattice) -> f64) -> f64 {
        if self.weight == 0.0 {
            return read(&self.lower);
        }
        (1.0 - self.weight) * read(&self.lower) + self.weight * read(&self.upper)
    }

    fn greater(&self, read: impl Fn(&Lattice) -> f64) -> f64 {
        read(&self.lower).max(read(&self.upper))
    }

    fn limits(&self) -> (f64, f64) {
        let (a, b) = (self.lower.limits(), self.upper.limits());
        (a.0.min(b.0), a.1.max(b.1))
    }

    /// Newton's method, kept within a bracket.
    fn quantile(&self, p: f64) -> f64 {
        let (mut low, mut high) = self.limits();
        let mut x = self.lower.near_quantile(p);
        for _ in 0..80 {
            let missing = p - self.cdf(x);
            if missing > 0.0 {
                low = x
            } else {
                high = x
            }
            let newton = x + missing / self.mixed(|lattice| lattice.density(x));
            let next = if newton > low && newton < high { newton } else { 0.5 * (low + high) };
            if (next - x).abs() < 1e-11 {
                return next;
            }
            x = next;
        }
        x
    }
}

impl std::fmt::Debug for Law {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Fixed => f.write_str("Fixed"),
            Self::Normal { spread } => write!(f, "Normal({spread})"),
            Self::Single(kernel) => write!(f, "{kernel:?}"),
            Self::Lattice(mixture) => write!(f, "Lattice({} points)", mixture.lower.len()),
            Self::Chance(chances) => write!(f, "Chance({} cases)", chances.cases.len()),
        }
    }
}

impl LossDistribution {
    /// The mean: the sum of the means.
    pub fn mean(&self) -> Decibels {
        Decibels::new(self.mean)
    }

    /// The standard deviation: the root of the sum of the variances.
    pub fn spread(&self) -> Decibels {
        Decibels::new(self.spread)
    }

    /// The loss not exceeded with probability `p`, within [`error_bound`](Self::error_bound);
    /// `p` is taken no nearer to 0 or 1 than 1e-12.
    pub fn quantile(&self, p: Probability) -> Decibels {
        Decibels::new(self.constant + self.random_quantile(inner(p)))
    }

    /// Probability that the loss is at least `least` and at most `most`; `None` sets no limit. A loss
    /// without spread that meets a limit to a billionth of a dB is within.
    pub fn probability_within(&self, least: Option<Decibels>, most: Option<Decibels>) -> Probability {
        let least = least.map_or(f64::NEG_INFINITY, Decibels::value);
        let most = most.map_or(f64::INFINITY, Decibels::value);
        clamped(self.within(least, most))
    }

    /// Bound on the error of the quantile of `p`, which may be any probability from 0.1 % to 99.9 %;
    /// zero where the law has a closed form.
    ///
    /// It depends on `p` only where losses come by chance: such a law may hardly rise between two of
    /// its cases, and there a quantile is as unsure as it is useless.
    ///
    /// It is a guarantee, not an estimate: the least of two bounds, one by Fourier series from the
    /// characteristic functions of the elements, one by Hoeffding's inequality from the roundings to
    /// the lattice.
    pub fn error_bound(&self, p: Probability) -> Decibels {
        Decibels::new(match &self.law {
            Law::Lattice(mixture) => mixture.greater(|lattice| lattice.shift),
            Law::Chance(chances) => chances.quantile_error(inner(p)),
            _ => 0.0,
        })
    }

    /// Bound on the error of every probability, guaranteed like [`error_bound`](Self::error_bound).
    pub fn probability_error_bound(&self) -> Probability {
        clamped(self.probability_error())
    }

    pub(super) fn probability_error(&self) -> f64 {
        match &self.law {
            Law::Lattice(mixture) => mixture.greater(|lattice| lattice.error),
            Law::Chance(chances) => chances.mean_of(Self::probability_error) + chances.left_out,
            _ => 0.0,
        }
    }

    /// By how much the law may be moved, dB, but for what probability.
    fn moved(&self) -> (f64, f64) {
        match &self.law {
            Law::Lattice(mixture) => {
                (mixture.greater(|lattice| lattice.moved.0), mixture.greater(|lattice| lattice.moved.1))
            }
            _ => (0.0, 0.0),
        }
    }

    /// Probability between two limits, which may be infinite.
    pub(super) fn within(&self, least: f64, most: f64) -> f64 {
        (1.0 - self.exceeds(most) - self.falls_below(least)).max(0.0)
    }

    /// Probability of a loss above `limit`.
    pub(super) fn exceeds(&self, limit: f64) -> f64 {
        let x = limit - self.constant;
        if x == f64::INFINITY {
            return 0.0;
        }
        match &self.law {
            Law::Fixed => f64::from(u8::from(x < -SAME)),
            Law::Normal { spread } => normal::survival(x / spread),
            Law::Single(kernel) => kernel.survival(x),
            Law::Lattice(mixture) => 1.0 - mixture.cdf(x),
            Law::Chance(chances) => chances.mean_of(|law| law.exceeds(x)),
        }
    }

    /// Probability of a loss below `limit`.
    pub(super) fn falls_below(&self, limit: f64) -> f64 {
        let x = limit - self.constant;
        if x == f64::NEG_INFINITY {
            return 0.0;
        }
        match &self.law {
            Law::Fixed => f64::from(u8::from(x > SAME)),
            Law::Normal { spread } => normal::cdf(x / spread),
            Law::Single(kernel) => kernel.cdf(x),
            Law::Lattice(mixture) => mixture.cdf(x),
            Law::Chance(chances) => chances.mean_of(|law| law.falls_below(x)),
        }
    }

    fn random_quantile(&self, p: f64) -> f64 {
        match &self.law {
            Law::Fixed => 0.0,
            Law::Normal { spread } => spread * normal::quantile(p),
            Law::Single(kernel) => kernel.quantile(p),
            Law::Lattice(mixture) => mixture.quantile(p),
            Law::Chance(chances) => chances.quantile(p),
        }
    }

    /// Limits outside of which the loss lies with probability below 1e-13 or so.
    pub(super) fn limits(&self) -> (f64, f64) {
        let (low, high) = self.random_limits();
        (self.constant + low, self.constant + high)
    }

    /// The same for the random part.
    pub(super) fn random_limits(&self) -> (f64, f64) {
        match &self.law {
            Law::Fixed => (0.0, 0.0),
            Law::Normal { spread } => (-FAR * spread, FAR * spread),
            Law::Single(kernel) => kernel.limits(),
            Law::Lattice(mixture) => mixture.limits(),
            Law::Chance(chances) => chances.limits(),
        }
    }

    /// Density of the random part, where it is smooth.
    pub(super) fn random_density(&self) -> Option<Box<dyn Fn(f64) -> f64 + '_>> {
        match &self.law {
            Law::Fixed | Law::Single(_) | Law::Chance(_) => None,
            Law::Normal { spread } => Some(Box::new(move |x| normal::density(x / spread) / spread)),
            Law::Lattice(mixture) => Some(Box::new(|x| mixture.mixed(|lattice| lattice.density(x)))),
        }
    }
}
