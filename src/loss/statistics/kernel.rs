//! The random part of one element's loss: a non-negative, non-normal law that starts at zero.

use super::normal;
use statrs::function::erf::{erf, erfc};
use statrs::function::gamma::{gamma_lr, gamma_ur, ln_gamma};
use std::cmp::Ordering;
use std::f64::consts::{PI, SQRT_2};
use std::hash::{Hash, Hasher};

/// Probability beyond which the tail of a single element is cut.
const CUT: f64 = 1e-16;

/// A law on `[0, inf)`; every parameter is finite and above zero (`location` may have any sign).
#[derive(Clone, Copy, Debug)]
pub(super) enum Kernel {
    /// Constant density on `[0, width]`.
    Uniform { width: f64 },
    /// Density `x^(shape-1) exp(-x/scale)`; `shape` 1 is the exponential law.
    Gamma { shape: f64, scale: f64 },
    /// Survival `exp(-(x/scale)^steepness)`.
    Weibull { steepness: f64, scale: f64 },
    /// `exp` of a normal variable with mean `location` and standard deviation `spread`.
    LogNormal { location: f64, spread: f64 },
    /// Absolute value of a normal variable with mean 0.
    HalfNormal { sigma: f64 },
    /// A normal variable around `center` (of any sign), of which only what is above zero is kept.
    CutNormal { center: f64, sigma: f64 },
}

impl Kernel {
    /// Kind and bit patterns: what equality, order and hash look at.
    fn bits(&self) -> (u8, u64, u64) {
        match *self {
            Self::Uniform { width } => (0, width.to_bits(), 0),
            Self::Gamma { shape, scale } => (1, scale.to_bits(), shape.to_bits()),
            Self::Weibull { steepness, scale } => (2, steepness.to_bits(), scale.to_bits()),
            Self::LogNormal { location, spread } => (3, location.to_bits(), spread.to_bits()),
            Self::HalfNormal { sigma } => (4, sigma.to_bits(), 0),
            Self::CutNormal { center, sigma } => (5, center.to_bits(), sigma.to_bits()),
        }
    }

    pub(super) fn mean(&self) -> f64 {
        match *self {
            Self::Uniform { width } => width / 2.0,
            Self::Gamma { shape, scale } => shape * scale,
            Self::Weibull { steepness, scale } => scale * ln_gamma(1.0 + 1.0 / steepness).exp(),
            Self::LogNormal { location, spread } => (location + 0.5 * spread * spread).exp(),
            Self::HalfNormal { sigma } => sigma * (2.0 / PI).sqrt(),
            Self::CutNormal { center, sigma } => sigma * normal::mean_above(-center / sigma),
        }
    }

    pub(super) fn variance(&self) -> f64 {
        match *self {
            Self::Uniform { width } => width * width / 12.0,
            Self::Gamma { shape, scale } => shape * scale * scale,
            Self::Weibull { steepness, .. } => {
                let mean = self.mean();
                mean * mean * weibull_squared_variation(steepness)
            }
            Self::LogNormal { spread, .. } => {
                let mean = self.mean();
                mean * mean * (spread * spread).exp_m1()
            }
            Self::HalfNormal { sigma } => sigma * sigma * (1.0 - 2.0 / PI),
            Self::CutNormal { center, sigma } => sigma * sigma * normal::variance_above(-center / sigma),
        }
    }

    /// Probability of at most `x`.
    pub(super) fn cdf(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return 0.0;
        }
        match *self {
            Self::Uniform { width } => (x / width).min(1.0),
            Self::Gamma { shape, scale } => gamma_lr(shape, x / scale),
            Self::Weibull { steepness, scale } => -(-(x / scale).powf(steepness)).exp_m1(),
            Self::LogNormal { location, spread } => normal::cdf((x.ln() - location) / spread),
            Self::HalfNormal { sigma } => erf(x / (sigma * SQRT_2)),
            Self::CutNormal { center, sigma } => {
                let cut = -center / sigma;
                normal::cdf_above(cut, x / sigma) / normal::survival(cut)
            }
        }
    }

    /// Probability of more than `x`, precise far out.
    pub(super) fn survival(&self, x: f64) -> f64 {
        if x <= 0.0 {
            return 1.0;
        }
        match *self {
            Self::Uniform { width } => (1.0 - x / width).max(0.0),
            Self::Gamma { shape, scale } => gamma_ur(shape, x / scale),
            Self::Weibull { steepness, scale } => (-(x / scale).powf(steepness)).exp(),
            Self::LogNormal { location, spread } => normal::survival((x.ln() - location) / spread),
            Self::HalfNormal { sigma } => erfc(x / (sigma * SQRT_2)),
            Self::CutNormal { center, sigma } => {
                normal::survival((x - center) / sigma) / normal::survival(-center / sigma)
            }
        }
    }

    /// The value not exceeded with probability `p`, `0 < p < 1`.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        self.quantile_between(p, 1.0 - p)
    }

    /// The value exceeded with probability `tail`, precise for the smallest tails.
    fn upper_quantile(&self, tail: f64) -> f64 {
        self.quantile_between(1.0 - tail, tail)
    }

    fn quantile_between(&self, below: f64, above: f64) -> f64 {
        let z = || if below < above { normal::quantile(below) } else { -normal::quantile(above) };
        match *self {
            Self::Uniform { width } => width * below,
            Self::Gamma { .. } => self.searched_quantile(below, above),
            Self::Weibull { steepness, scale } => {
                let exponent = if below < above { -(-below).ln_1p() } else { -above.ln() };
                scale * exponent.powf(1.0 / steepness)
            }
            Self::LogNormal { location, spread } => (location + spread * z()).exp(),
            Self::HalfNormal { sigma } => -sigma * normal::quantile(0.5 * above),
            // Close to the cut the closed inverse is a difference of nearly equal numbers.
            Self::CutNormal { .. } if below < above => self.searched_quantile(below, above),
            Self::CutNormal { center, sigma } => {
                center - sigma * normal::quantile(above * normal::survival(-center / sigma))
            }
        }
    }

    /// Bisection, for laws without a closed inverse.
    fn searched_quantile(&self, below: f64, above: f64) -> f64 {
        let too_low = |x: f64| {
            if below < above { self.cdf(x) < below } else { self.survival(x) > above }
        };
        let (mut low, mut high) = (self.mean(), self.mean());
        while !too_low(low) && low > f64::MIN_POSITIVE {
            high = low;
            low *= 0.5;
        }
        while too_low(high) {
            high *= 2.0;
        }
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                break;
            }
            if too_low(middle) { low = middle } else { high = middle }
        }
        0.5 * (low + high)
    }

    /// Limits outside of which the probability is below 1e-16 on each side.
    pub(super) fn limits(&self) -> (f64, f64) {
        match *self {
            Self::Uniform { width } => (0.0, width),
            Self::Gamma { shape, scale } => gamma_limits(shape, scale),
            _ => (self.quantile(CUT), self.upper_quantile(CUT)),
        }
    }

    /// An upper bound of `ln E[exp(s X)]` for `s < 0`: exact for the gamma law, otherwise from
    /// `exp(-y) <= 1 - y + y^2/2` for `y >= 0`.
    pub(super) fn lower_cumulant(&self, s: f64) -> f64 {
        if let Self::Gamma { shape, scale } = *self {
            return -shape * (-scale * s).ln_1p();
        }
        let mean = self.mean();
        s * mean + 0.5 * s * s * (self.variance() + mean * mean)
    }

    /// The values exceeded with probabilities 1/2, 1/4, ... 2^-`bins`: a staircase above the law,
    /// for bounds on its exponential moments.
    pub(super) fn staircase(&self, bins: i32) -> Vec<f64> {
        (1..=bins).map(|j| self.upper_quantile(0.5_f64.powi(j))).collect()
    }

    /// How fast the characteristic function falls: exact for the gamma law at high frequency,
    /// otherwise from the total variation of the density or, where that is finite, of its slope.
    pub(super) fn decay(&self) -> Decay {
        match *self {
            Self::Gamma { shape, scale } => Decay { factor: 1.0 / scale, power: shape },
            Self::Uniform { width } => Decay { factor: 2.0 / width, power: 1.0 },
            Self::HalfNormal { sigma } => Decay { factor: (8.0 / PI).sqrt() / sigma, power: 1.0 },
            // Up from the cut to the highest density, and down to zero.
            Self::CutNormal { center, .. } => {
                Decay { factor: 2.0 * self.density().at(center.max(0.0)), power: 1.0 }
            }
            Self::Weibull { steepness, scale } => weibull_decay(steepness, scale, &self.density()),
            Self::LogNormal { location, spread } => {
                // The slope is -f/x (1 + y), y = (ln x - location) / spread^2, and extreme where
                // y^2 + 3y + 2 = 1/spread^2.
                let root = (1.0 + 4.0 / (spread * spread)).sqrt();
                let slope = |y: f64| {
                    let x = (location + y * spread * spread).exp();
                    self.density().at(x) / x * (1.0 + y).abs()
                };
                Decay::from_slopes(slope((root - 3.0) / 2.0), slope((-root - 3.0) / 2.0))
            }
        }
    }

    /// The density, prepared for many evaluations.
    pub(super) fn density(&self) -> Density {
        match *self {
            Self::Uniform { width } => Density::Uniform { height: 1.0 / width, width },
            Self::Gamma { shape, scale } => Density::Gamma {
                power: shape - 1.0,
                rate: 1.0 / scale,
                constant: -ln_gamma(shape) - shape * scale.ln(),
            },
            Self::Weibull { steepness, scale } => {
                Density::Weibull { steepness, ln_scale: scale.ln(), constant: (steepness / scale).ln() }
            }
            Self::LogNormal { location, spread } => Density::LogNormal {
                location,
                rate: 1.0 / spread,
                height: 1.0 / (spread * (2.0 * PI).sqrt()),
            },
            Self::HalfNormal { sigma } => {
                Density::HalfNormal { rate: 0.5 / (sigma * sigma), height: (2.0 / PI).sqrt() / sigma }
            }
            Self::CutNormal { center, sigma } => Density::CutNormal {
                center,
                rate: 0.5 / (sigma * sigma),
                height: 1.0 / (sigma * (2.0 * PI).sqrt() * normal::survival(-center / sigma)),
            },
        }
    }
}

/// Chernoff's bound on both tails of the gamma law, in closed form: with `x = mean * exp(t)` the
/// tail is at most `exp(-shape * (exp(t) - 1 - t))`.
fn gamma_limits(shape: f64, scale: f64) -> (f64, f64) {
    let wanted = -CUT.ln() / shape;
    let search = |mut outside: f64| {
        let mut inside = 0.0;
        for _ in 0..40 {
            let middle = 0.5 * (inside + outside);
            if middle.exp_m1() - middle < wanted { inside = middle } else { outside = middle }
        }
        shape * scale * outside.exp()
    };
    (search(-wanted - 1.0), search((wanted + (2.0 * wanted).sqrt()).ln_1p()))
}

/// With `k` the steepness and `z = (x/scale)^k`, the slope is `f/x (k - 1 - k z)` and extreme where
/// `k^2 z^2 - 3k(k-1) z + (k-1)(k-2) = 0`; it is finite from `k = 2` on, the density from `k = 1` on.
fn weibull_decay(k: f64, scale: f64, density: &Density) -> Decay {
    if k < 1.0 {
        return Decay { factor: 1.0, power: 0.0 };
    }
    let at = |z: f64| scale * z.max(1e-12).powf(1.0 / k);
    if k < 2.0 {
        return Decay { factor: 2.0 * density.at(at(1.0 - 1.0 / k)), power: 1.0 };
    }
    let root = (9.0 - 4.0 * (k - 2.0) / (k - 1.0)).sqrt();
    let slope = |sign: f64| {
        let z = (k - 1.0) * (3.0 + sign * root) / (2.0 * k);
        density.at(at(z)) / at(z) * (k - 1.0 - k * z).abs()
    };
    Decay::from_slopes(slope(-1.0), slope(1.0))
}

/// A characteristic function is at most `(factor / w)^power` at frequency `w`.
#[derive(Clone, Copy, Debug)]
pub(super) struct Decay {
    pub(super) factor: f64,
    pub(super) power: f64,
}

impl Decay {
    /// For a density that rises from zero and falls to zero once, given the steepest slopes of both
    /// sides: the total variation of its slope is twice their sum.
    fn from_slopes(rising: f64, falling: f64) -> Self {
        Self { factor: (2.0 * (rising + falling)).sqrt(), power: 2.0 }
    }

    /// The logarithm of the bound, at most 0.
    pub(super) fn ln_at(&self, frequency: f64) -> f64 {
        self.power * (self.factor / frequency).ln().min(0.0)
    }
}

/// Square of (standard deviation / mean) of the Weibull law.
pub(super) fn weibull_squared_variation(steepness: f64) -> f64 {
    let first = ln_gamma(1.0 + 1.0 / steepness);
    let second = ln_gamma(1.0 + 2.0 / steepness);
    (second - 2.0 * first).exp_m1()
}

/// See [`Kernel::density`].
#[derive(Clone, Copy, Debug)]
pub(super) enum Density {
    Uniform { height: f64, width: f64 },
    Gamma { power: f64, rate: f64, constant: f64 },
    Weibull { steepness: f64, ln_scale: f64, constant: f64 },
    LogNormal { location: f64, rate: f64, height: f64 },
    HalfNormal { rate: f64, height: f64 },
    CutNormal { center: f64, rate: f64, height: f64 },
}

impl Density {
    /// The density at `x > 0`.
    pub(super) fn at(&self, x: f64) -> f64 {
        match *self {
            Self::Uniform { height, width } => {
                if x <= width {
                    height
                } else {
                    0.0
                }
            }
            Self::Gamma { power, rate, constant } => {
                if power == 0.0 {
                    (constant - x * rate).exp()
                } else {
                    (power * x.ln() - x * rate + constant).exp()
                }
            }
            Self::Weibull { steepness, ln_scale, constant } => {
                let ln_ratio = x.ln() - ln_scale;
                let exponent = (steepness * ln_ratio).exp();
                ((steepness - 1.0) * ln_ratio - exponent + constant).exp()
            }
            Self::LogNormal { location, rate, height } => {
                let z = (x.ln() - location) * rate;
                height * (-0.5 * z * z).exp() / x
            }
            Self::HalfNormal { rate, height } => height * (-rate * x * x).exp(),
            Self::CutNormal { center, rate, height } => {
                height * (-rate * (x - center) * (x - center)).exp()
            }
        }
    }
}

impl PartialEq for Kernel {
    fn eq(&self, other: &Self) -> bool {
        self.bits() == other.bits()
    }
}

impl Eq for Kernel {}

impl PartialOrd for Kernel {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Kernel {
    fn cmp(&self, other: &Self) -> Ordering {
        self.bits().cmp(&other.bits())
    }
}

impl Hash for Kernel {
    fn hash<H: Hasher>(&self, state: &mut H) {
        let (kind, first, second) = self.bits();
        state.write_u8(kind);
        state.write_u64(first);
        state.write_u64(second);
    }
}
