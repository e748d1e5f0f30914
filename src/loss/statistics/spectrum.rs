//! Sums of laws on one lattice, by products of their spectra.

use super::fidelity::{Fidelity, Magnitude, magnitudes};
use super::kernel::Kernel;
use super::split::Split;
use realfft::num_complex::Complex;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
use std::f64::consts::TAU;
use std::sync::{Arc, Mutex, PoisonError};

/// Smallest and largest number of lattice points.
const SIZES: (usize, usize) = (64, 1 << 20);
/// Lattice points around one, from which a value between it and the next is interpolated.
const NODES: [f64; 8] = [-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0, 4.0];
/// Below this a spectrum is nil.
const NIL: f64 = 1e-22;

/// Plans of the transforms in use.
pub(super) struct Plans(Mutex<RealFftPlanner<f64>>);

impl Plans {
    pub(super) fn new() -> Self {
        Self(Mutex::new(RealFftPlanner::new()))
    }

    fn forward(&self, len: usize) -> Arc<dyn RealToComplex<f64>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).plan_fft_forward(len)
    }

    fn inverse(&self, len: usize) -> Arc<dyn ComplexToReal<f64>> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner).plan_fft_inverse(len)
    }

    /// The spectrum of real values, destroying them.
    pub(super) fn spectrum(&self, values: &mut [f64]) -> Vec<Complex<f64>> {
        let plan = self.forward(values.len());
        let mut spectrum = plan.make_output_vec();
        plan.process(values, &mut spectrum).expect("buffers have the lengths of the plan");
        spectrum
    }

    /// The real values of a spectrum, for `len` values.
    pub(super) fn values(&self, mut spectrum: Vec<Complex<f64>>, len: usize) -> Vec<f64> {
        let plan = self.inverse(len);
        let mut values = plan.make_output_vec();
        spectrum[0].im = 0.0;
        spectrum[len / 2].im = 0.0;
        plan.process(&mut spectrum, &mut values).expect("buffers have the lengths of the plan");
        let scale = 1.0 / len as f64;
        values.iter_mut().for_each(|value| *value *= scale);
        values
    }
}

/// The smallest even length of the kind `2^a` or `3 * 2^a` that holds `points`.
pub(super) fn transform_length(points: usize) -> usize {
    let power = points.max(SIZES.0).next_power_of_two();
    if power / 4 * 3 >= points.max(SIZES.0) { power / 4 * 3 } else { power }
}

/// A periodic lattice: points `step` apart, `len` of them before it repeats.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Grid {
    pub(super) step: f64,
    pub(super) len: usize,
}

impl Grid {
    /// The grid for a window of this width; the step doubles until the largest grid holds it.
    pub(super) fn covering(width: f64, mut step: f64) -> Self {
        while width / step + 16.0 > SIZES.1 as f64 {
            step *= 2.0;
        }
        Self { step, len: transform_length((width / step).ceil() as usize + 16) }
    }
}

/// The spectrum of the split of one law on a grid: what all sums with that law are made of, however
/// often it comes in them.
pub(super) struct Factor {
    values: Vec<Complex<f64>>,
    inflation: f64,
    magnitudes: Vec<Magnitude>,
}

impl Factor {
    pub(super) fn of(kernel: &Kernel, grid: Grid, plans: &Plans) -> Self {
        let split = Split::of(kernel, grid.step);
        let mut folded = vec![0.0; grid.len];
        for (j, mass) in split.masses.into_iter().enumerate() {
            folded[j % grid.len] += mass;
        }
        let values = plans.spectrum(&mut folded);
        Self { inflation: split.inflation, magnitudes: magnitudes(kernel, grid, &values), values }
    }
}

/// The spectrum of a sum of kernels on a grid.
pub(super) struct Spectrum {
    values: Vec<Complex<f64>>,
    /// Variance that the lattice adds to the sum.
    pub(super) inflation: f64,
    pub(super) grid: Grid,
    pub(super) fidelity: Fidelity,
}

impl Spectrum {
    /// `factor` gives the spectra of the single laws.
    pub(super) fn of(
        kernels: &[(Kernel, u32)],
        grid: Grid,
        factor: impl Fn(&Kernel) -> Arc<Factor>,
    ) -> Self {
        let mut product = vec![Complex::new(1.0, 0.0); grid.len / 2 + 1];
        let mut fidelity = Fidelity::new(kernels, grid);
        let mut inflation = 0.0;
        for (kernel, count) in kernels {
            let factor = factor(kernel);
            inflation += f64::from(*count) * factor.inflation;
            fidelity.include(*count, &factor.magnitudes);
            // A law that comes often has nothing left but at the lowest frequencies.
            let least = NIL.powf(2.0 / f64::from(*count));
            let is_left = |value: &Complex<f64>| value.norm_sqr() >= least;
            let reach = factor.values.iter().rposition(is_left).map_or(0, |last| last + 1);
            multiply_power(&mut product[..reach], factor.values[..reach].to_vec(), *count);
            product[reach..].fill(Complex::new(0.0, 0.0));
        }
        Self { values: product, inflation, grid, fidelity }
    }

    /// Masses of kernels plus a normal law of this variance, sharpened by the variance `excess` (see
    /// [`sharpen`]); the first is that of the lattice point `first`. At a kink, sharpening may leave
    /// negative masses.
    pub(super) fn masses(&self, variance: f64, excess: f64, first: i64, plans: &Plans) -> Masses {
        let squared = self.grid.step * self.grid.step;
        let mut spectrum = self.values.clone();
        let sampled = self.fidelity.is_sampled(variance / squared);
        multiply_normal(&mut spectrum, variance / squared, sampled, self.grid.len);
        let mut values = plans.values(spectrum, self.grid.len);
        values.rotate_left(first.rem_euclid(self.grid.len as i64) as usize);
        // Rounding leaves about 1e-18 of either sign where there is nothing.
        values.iter_mut().for_each(|value| *value = value.max(0.0));
        sharpen(&mut values, excess / squared);
        Masses { step: self.grid.step, first, values }
    }
}

/// Probabilities of the lattice points `first`, `first + 1`, ..., each times `step`.
pub(super) struct Masses {
    pub(super) step: f64,
    pub(super) first: i64,
    pub(super) values: Vec<f64>,
}

impl Masses {
    /// Only those of lattice points between two losses.
    pub(super) fn within(self, low: f64, high: f64) -> Self {
        let first = ((low / self.step).floor() as i64).max(self.first);
        let last = (high / self.step).ceil() as i64;
        let skip = (first - self.first) as usize;
        let keep = (last + 1 - first).max(1) as usize;
        Self { first, values: self.values.into_iter().skip(skip).take(keep).collect(), ..self }
    }

    /// Brought to a sum of 1.
    pub(super) fn normalized(mut self) -> Self {
        let total: f64 = self.values.iter().sum();
        self.values.iter_mut().for_each(|mass| *mass /= total);
        self
    }

    /// Moved up by a loss. A mass that comes to lie between lattice points is spread over the eight
    /// next to it so that expectations of polynomials up to the seventh degree stay: for what is
    /// smooth on the scale of a step it is where it was.
    pub(super) fn moved(self, loss: f64) -> Self {
        let points = loss / self.step;
        let whole = points.floor();
        let part = points - whole;
        let first = self.first + whole as i64;
        if part < 1e-9 {
            return Self { first, ..self };
        }
        let weights = NODES.map(|node| {
            let others = NODES.into_iter().filter(|other| *other != node);
            others.map(|other| (part - other) / (node - other)).product::<f64>()
        });
        let mut values = vec![0.0; self.values.len() + NODES.len() - 1];
        for (at, mass) in self.values.iter().enumerate() {
            for (value, weight) in values[at..].iter_mut().zip(weights) {
                *value += mass * weight;
            }
        }
        Self { step: self.step, first: first + NODES[0] as i64, values }
    }

    /// A mixture, each part with its weight.
    pub(super) fn mixed(step: f64, parts: &[(f64, Self)]) -> Self {
        let first = parts.iter().map(|(_, part)| part.first).min().unwrap_or(0);
        let end = parts.iter().map(|(_, part)| part.first + part.values.len() as i64).max();
        let mut values = vec![0.0; (end.unwrap_or(first) - first) as usize];
        for (weight, part) in parts {
            let from = (part.first - first) as usize;
            values[from..].iter_mut().zip(&part.values).for_each(|(held, mass)| *held += weight * mass);
        }
        Self { step, first, values }
    }

    /// With negative masses set to zero, and how much that was.
    pub(super) fn clamped(mut self) -> (Self, f64) {
        let negative: f64 = self.values.iter().map(|mass| mass.min(0.0)).sum();
        self.values.iter_mut().for_each(|mass| *mass = mass.max(0.0));
        (self.normalized(), -negative)
    }
}

/// `product *= base^count`, by squaring.
fn multiply_power(product: &mut [Complex<f64>], mut base: Vec<Complex<f64>>, mut count: u32) {
    loop {
        if count & 1 == 1 {
            product.iter_mut().zip(&base).for_each(|(held, factor)| *held *= factor);
        }
        count >>= 1;
        if count == 0 {
            return;
        }
        base.iter_mut().for_each(|value| *value = *value * *value);
    }
}

fn multiply_normal(spectrum: &mut [Complex<f64>], variance: f64, sampled: bool, len: usize) {
    if variance == 0.0 {
        return;
    }
    let mut nil = false;
    for (m, value) in spectrum.iter_mut().enumerate() {
        let factor =
            if nil { 0.0 } else { normal_factor(variance, TAU * m as f64 / len as f64, sampled) };
        nil = factor < NIL;
        *value *= factor;
    }
}

/// The spectrum of a normal law of this variance, in steps squared, at an angle per step between 0
/// and pi; decreasing. Where a sum cannot be sampled, because it has spectrum beyond that of the
/// lattice, the normal law is replaced by the difference of two Poisson numbers of steps, which has
/// the same mean and variance and makes no negative masses.
pub(super) fn normal_factor(variance: f64, angle: f64, sampled: bool) -> f64 {
    if sampled {
        (-0.5 * variance * angle * angle).exp()
    } else {
        (-variance * (1.0 - angle.cos())).exp()
    }
}

/// Takes `excess` (in steps squared) off the variance of the masses, to first order:
/// `p - excess/2 * (second difference of p)`. The splits of all elements and the reading of the
/// result widen the law by a known variance; without it the error is of fourth order in the step.
fn sharpen(masses: &mut [f64], excess: f64) {
    let half = 0.5 * excess;
    let mut before = 0.0;
    for j in 0..masses.len() {
        let here = masses[j];
        let after = masses.get(j + 1).copied().unwrap_or(0.0);
        masses[j] = here - half * (before - 2.0 * here + after);
        before = here;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn moments(masses: &[f64]) -> (f64, f64, f64) {
        let total: f64 = masses.iter().sum();
        let mean: f64 = masses.iter().enumerate().map(|(j, m)| j as f64 * m).sum::<f64>() / total;
        let variance =
            masses.iter().enumerate().map(|(j, m)| (j as f64 - mean).powi(2) * m).sum::<f64>() / total;
        (total, mean, variance)
    }

    #[test]
    fn sum_has_the_sum_of_means_and_of_variances() {
        let plans = Plans::new();
        let kernels = [
            (Kernel::Uniform { width: 0.3 }, 5),
            (Kernel::Weibull { steepness: 2.05, scale: 0.135 }, 13),
        ];
        let grid = Grid { step: 0.005, len: 1024 };
        let factor = |kernel: &Kernel| Arc::new(Factor::of(kernel, grid, &plans));
        let spectrum = Spectrum::of(&kernels, grid, factor);
        let mean: f64 = kernels.iter().map(|(k, n)| f64::from(*n) * k.mean()).sum();
        let variance: f64 = kernels.iter().map(|(k, n)| f64::from(*n) * k.variance()).sum();
        for normal in [0.0, 1e-5, 0.01] {
            let moments_without =
                |excess: f64| moments(&spectrum.masses(normal, excess, -100, &plans).values);
            let (total, held_mean, held_variance) = moments_without(0.0);
            assert_abs_diff_eq!(total, 1.0, epsilon = 1e-12);
            assert_abs_diff_eq!((held_mean - 100.0) * grid.step, mean, epsilon = 1e-9);
            let expected = variance + normal + spectrum.inflation;
            assert_abs_diff_eq!(held_variance * grid.step * grid.step, expected, epsilon = 1e-9);
            let (_, _, sharpened) = moments_without(spectrum.inflation);
            assert_abs_diff_eq!(sharpened * grid.step * grid.step, variance + normal, epsilon = 1e-9);
        }
    }

    #[test]
    fn lengths_are_even_and_large_enough() {
        for points in [1, 63, 64, 65, 97, 1000, 1537, 40_000] {
            let len = transform_length(points);
            assert!(
                len >= points && len.is_multiple_of(4) && len < 2 * points.max(64),
                "{points} {len}"
            );
        }
    }
}
