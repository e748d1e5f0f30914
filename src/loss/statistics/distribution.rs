//! [`LossDistribution`]: the law of a sum of losses, ready to be asked.

use super::kernel::Kernel;
use super::lattice::Lattice;
use super::{clamped, inner, normal};
use crate::units::{Decibels, Probability};
use std::sync::Arc;

/// Two losses closer than this are equal: sums of decimal figures differ by rounding.
const SAME: f64 = 1e-9;

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
    /// Several laws: two lattices whose normal parts have the variances next below and next above
    /// the true one, mixed by `weight` (of the upper) so that the variance is right.
    Lattice { lower: Arc<Lattice>, upper: Arc<Lattice>, weight: f64 },
}

impl std::fmt::Debug for Law {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Fixed => f.write_str("Fixed"),
            Self::Normal { spread } => write!(f, "Normal({spread})"),
            Self::Single(kernel) => write!(f, "{kernel:?}"),
            Self::Lattice { lower, .. } => write!(f, "Lattice({} points)", lower.len()),
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
        clamped(self.within(least.map(Decibels::value), most.map(Decibels::value)))
    }

    /// Bound on the error of every quantile: the true law gives the reported loss, shifted by at most
    /// this, a probability within 1e-6 of the one asked for. Zero where the law has a closed form.
    ///
    /// It is a guarantee, from Hoeffding's inequality or from counting roundings, whichever is less;
    /// what is found against exact values is some thousand times smaller.
    pub fn error_bound(&self) -> Decibels {
        Decibels::new(match &self.law {
            Law::Lattice { lower, upper, .. } => lower.shift.max(upper.shift),
            _ => 0.0,
        })
    }

    pub(super) fn within(&self, least: Option<f64>, most: Option<f64>) -> f64 {
        let above = most.map_or(0.0, |limit| self.exceeds(limit));
        let below = least.map_or(0.0, |limit| self.falls_below(limit));
        (1.0 - above - below).max(0.0)
    }

    /// Probability of a loss above `limit`.
    pub(super) fn exceeds(&self, limit: f64) -> f64 {
        let x = limit - self.constant;
        match &self.law {
            Law::Fixed => f64::from(u8::from(x < -SAME)),
            Law::Normal { spread } => normal::survival(x / spread),
            Law::Single(kernel) => kernel.survival(x),
            Law::Lattice { .. } => 1.0 - self.mixed(x),
        }
    }

    /// Probability of a loss below `limit`.
    pub(super) fn falls_below(&self, limit: f64) -> f64 {
        let x = limit - self.constant;
        match &self.law {
            Law::Fixed => f64::from(u8::from(x > SAME)),
            Law::Normal { spread } => normal::cdf(x / spread),
            Law::Single(kernel) => kernel.cdf(x),
            Law::Lattice { .. } => self.mixed(x),
        }
    }

    /// Bound on what the lattice adds to a probability, as a factor of the probability's curvature
    /// (second derivative) in the limit, dB squared.
    pub(super) fn half_inflation(&self) -> f64 {
        match &self.law {
            Law::Lattice { lower, upper, .. } => lower.half_inflation.max(upper.half_inflation),
            _ => 0.0,
        }
    }

    fn mixed(&self, x: f64) -> f64 {
        let Law::Lattice { lower, upper, weight } = &self.law else { return 0.0 };
        if *weight == 0.0 {
            return lower.cdf(x);
        }
        (1.0 - weight) * lower.cdf(x) + weight * upper.cdf(x)
    }

    fn random_quantile(&self, p: f64) -> f64 {
        match &self.law {
            Law::Fixed => 0.0,
            Law::Normal { spread } => spread * normal::quantile(p),
            Law::Single(kernel) => kernel.quantile(p),
            Law::Lattice { lower, upper, weight } => {
                let (a, b) = (lower.quantile(p), upper.quantile(p));
                if *weight == 0.0 { a } else { self.mixed_quantile(p, a.min(b), a.max(b)) }
            }
        }
    }

    /// The quantile of the mixture lies between those of its parts: false position, each end kept
    /// from sticking by halving its weight.
    fn mixed_quantile(&self, p: f64, mut low: f64, mut high: f64) -> f64 {
        let (mut at_low, mut at_high) = (self.mixed(low) - p, self.mixed(high) - p);
        let mut last_low = false;
        for _ in 0..60 {
            if at_low >= 0.0 || high - low < 1e-13 {
                return low;
            }
            if at_high <= 0.0 {
                return high;
            }
            let middle = low - at_low * (high - low) / (at_high - at_low);
            let at_middle = self.mixed(middle) - p;
            if at_middle.abs() < 1e-16 {
                return middle;
            }
            if at_middle < 0.0 {
                (low, at_low) = (middle, at_middle);
                if last_low { at_high *= 0.5 }
            } else {
                (high, at_high) = (middle, at_middle);
                if !last_low { at_low *= 0.5 }
            }
            last_low = at_middle < 0.0;
        }
        0.5 * (low + high)
    }

    /// Limits outside of which the loss lies with probability below 1e-13 or so.
    pub(super) fn limits(&self) -> (f64, f64) {
        let (low, high) = match &self.law {
            Law::Fixed => (0.0, 0.0),
            Law::Normal { spread } => (-7.5 * spread, 7.5 * spread),
            Law::Single(kernel) => kernel.limits(),
            Law::Lattice { lower, upper, .. } => {
                let (a, b) = (lower.limits(), upper.limits());
                (a.0.min(b.0), a.1.max(b.1))
            }
        };
        (self.constant + low, self.constant + high)
    }

}
