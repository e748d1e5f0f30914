//! Where a sum of losses can lie: Chernoff's bounds on both tails.

use super::kernel::Kernel;

/// `-ln` of the probability left out beyond each limit, 5e-13.
const SURE: f64 = 28.3;
/// Halvings of the tail that the staircase of a law without exponential moments follows; the
/// 1.4e-14 beyond are left out with the rest.
const STAIRS: i32 = 46;
/// Standard deviations below which a normal law lies with probability 5e-13.
const FAR: f64 = 7.2;
/// Golden section.
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// Limits outside of which `sum of kernels + normal of this variance` lies with probability below
/// 1e-12.
pub(super) fn window(kernels: &[(Kernel, u32)], variance: f64) -> (f64, f64) {
    let spread =
        (variance + kernels.iter().map(|(k, n)| f64::from(*n) * k.variance()).sum::<f64>()).sqrt();
    if spread == 0.0 {
        return (0.0, 0.0);
    }
    let growth: Vec<Growth> = kernels.iter().map(|(kernel, count)| Growth::of(kernel, *count)).collect();
    let highest = growth.iter().map(Growth::highest_exponent).fold(60.0 / spread, f64::min);
    let upper = smallest(highest, |s| {
        let cumulant: f64 = growth.iter().map(|part| part.cumulant(s)).sum();
        (SURE + cumulant + 0.5 * variance * s * s) / s
    });
    let lower = -smallest(60.0 / spread, |s| {
        let cumulant: f64 = kernels.iter().map(|(k, n)| f64::from(*n) * k.lower_cumulant(-s)).sum();
        (SURE + cumulant + 0.5 * variance * s * s) / s
    });
    (lower.max(-FAR * variance.sqrt()), upper)
}

/// A bound from above on the growth of `E[exp(s X)]`, `s > 0`.
enum Growth {
    Gamma {
        shape: f64,
        scale: f64,
    },
    Uniform {
        count: f64,
        width: f64,
    },
    /// The law pushed up to the top of each stair; stair `j`, from 1 on, holds `2^-j`.
    Stairs {
        count: f64,
        tops: Vec<f64>,
    },
}

impl Growth {
    fn of(kernel: &Kernel, count: u32) -> Self {
        let count = f64::from(count);
        match *kernel {
            Kernel::Gamma { shape, scale } => Self::Gamma { shape: shape * count, scale },
            Kernel::Uniform { width } => Self::Uniform { count, width },
            _ => Self::Stairs { count, tops: kernel.staircase(STAIRS) },
        }
    }

    fn highest_exponent(&self) -> f64 {
        match self {
            Self::Gamma { scale, .. } => 0.999 / scale,
            _ => f64::INFINITY,
        }
    }

    fn cumulant(&self, s: f64) -> f64 {
        match self {
            Self::Gamma { shape, scale } => -shape * (-scale * s).ln_1p(),
            Self::Uniform { count, width } => count * ((s * width).exp_m1() / (s * width)).ln(),
            Self::Stairs { count, tops } => {
                let mut mass = 1.0;
                let mut moment = 0.0;
                for top in tops {
                    mass *= 0.5;
                    moment += mass * (s * top).exp();
                }
                count * moment.ln()
            }
        }
    }
}

/// The smallest value of a quasi-convex function on `(0, highest]`, or close above it.
fn smallest(highest: f64, value: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (0.0, highest);
    let (mut left, mut right) = (highest * (1.0 - GOLDEN), highest * GOLDEN);
    let (mut at_left, mut at_right) = (value(left), value(right));
    for _ in 0..24 {
        // Infinite or undefined values stand to the right of the smallest one.
        if at_left <= at_right || !at_right.is_finite() {
            high = right;
            (right, at_right) = (left, at_left);
            left = high - GOLDEN * (high - low);
            at_left = value(left);
        } else {
            low = left;
            (left, at_left) = (right, at_right);
            right = low + GOLDEN * (high - low);
            at_right = value(right);
        }
    }
    at_left.min(at_right)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn holds_single_laws_and_is_not_wasteful() {
        for kernel in [
            Kernel::Uniform { width: 0.5 },
            Kernel::Gamma { shape: 10.0, scale: 0.05 },
            Kernel::Gamma { shape: 0.4, scale: 0.5 },
            Kernel::Weibull { steepness: 2.0, scale: 0.135 },
            Kernel::LogNormal { location: -1.72, spread: 0.47 },
            Kernel::HalfNormal { sigma: 0.2 },
            Kernel::CutNormal { center: 0.05, sigma: 0.05 },
            Kernel::CutNormal { center: -0.3, sigma: 0.2 },
        ] {
            let (low, high) = window(&[(kernel, 1)], 0.0);
            assert!(kernel.cdf(low) < 1e-12 && kernel.survival(high) < 1e-12, "{kernel:?}");
            assert!(high - low < 60.0 * kernel.variance().sqrt(), "{kernel:?} {low} {high}");
        }
    }

    #[test]
    fn a_normal_part_widens_both_sides() {
        let (low, high) = window(&[], 0.01);
        assert!((-0.76..-0.7).contains(&low), "{low}");
        assert!((0.7..0.76).contains(&high), "{high}");
        let (with, without) = (
            window(&[(Kernel::Uniform { width: 1.0 }, 4)], 0.01),
            window(&[(Kernel::Uniform { width: 1.0 }, 4)], 0.0),
        );
        assert!(with.0 < without.0 && with.1 > without.1);
    }
}
