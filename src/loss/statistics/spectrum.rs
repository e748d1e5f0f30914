//! Sums of laws on one lattice, by products of their spectra.

use super::kernel::Kernel;
use super::split::Split;
use realfft::num_complex::Complex;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};
use std::f64::consts::TAU;
use std::sync::{Arc, Mutex, PoisonError};

/// Smallest and largest number of lattice points.
const SIZES: (usize, usize) = (64, 1 << 18);
/// Standard deviation, in steps, from which a normal law is sampled to full precision.
const RESOLVED: f64 = 3.0;
/// Exponent at which a normal law's spectrum is nil.
const NIL: f64 = 50.0;

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

/// The spectrum of a sum of kernels on a grid.
pub(super) struct Spectrum {
    values: Vec<Complex<f64>>,
    /// Variance that the lattice adds to the sum.
    pub(super) inflation: f64,
    grid: Grid,
}

impl Spectrum {
    pub(super) fn of(kernels: &[(Kernel, u32)], grid: Grid, plans: &Plans) -> Self {
        let mut product = vec![Complex::new(1.0, 0.0); grid.len / 2 + 1];
        let mut inflation = 0.0;
        for (kernel, count) in kernels {
            let split = Split::of(kernel, grid.step);
            inflation += f64::from(*count) * split.inflation;
            let mut folded = vec![0.0; grid.len];
            for (j, mass) in split.masses.into_iter().enumerate() {
                folded[j % grid.len] += mass;
            }
            multiply_power(&mut product, plans.spectrum(&mut folded), *count);
        }
        Self { values: product, inflation, grid }
    }

    /// Masses of kernels plus a normal law of this variance; the first is that of the lattice point
    /// `first`.
    pub(super) fn masses(&self, variance: f64, first: i64, plans: &Plans) -> Vec<f64> {
        let mut spectrum = self.values.clone();
        if variance > 0.0 {
            multiply_normal(&mut spectrum, variance / (self.grid.step * self.grid.step), self.grid.len);
        }
        let mut values = plans.values(spectrum, self.grid.len);
        values.rotate_left(first.rem_euclid(self.grid.len as i64) as usize);
        // Rounding leaves about 1e-18 of either sign where there is nothing.
        values.iter_mut().for_each(|value| *value = value.max(0.0));
        values
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

/// Multiplies by the spectrum of a normal law of this variance, in steps squared. A law too narrow
/// for the lattice is replaced by the difference of two Poisson numbers of steps, which has the
/// same mean and variance and no negative masses.
fn multiply_normal(spectrum: &mut [Complex<f64>], variance: f64, len: usize) {
    let resolved = variance >= RESOLVED * RESOLVED;
    let mut turn = 0.0;
    for value in spectrum {
        let angle = TAU * turn / len as f64;
        let exponent = if resolved { 0.5 * variance * angle * angle } else { variance * (1.0 - angle.cos()) };
        *value *= if exponent < NIL { (-exponent).exp() } else { 0.0 };
        turn += 1.0;
    }
}

/// Takes `excess` (in steps squared) off the variance of the masses, to first order:
/// `p - excess/2 * (second difference of p)`. The splits of all elements and the reading of the
/// result widen the law by a known variance; without it the error is of fourth order in the step.
pub(super) fn sharpen(masses: &mut [f64], excess: f64) {
    let half = 0.5 * excess;
    let mut before = 0.0;
    let mut total = 0.0;
    for j in 0..masses.len() {
        let here = masses[j];
        let after = masses.get(j + 1).copied().unwrap_or(0.0);
        let sharper = here - half * (before - 2.0 * here + after);
        masses[j] = sharper.max(0.0);
        total += masses[j];
        before = here;
    }
    masses.iter_mut().for_each(|mass| *mass /= total);
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn moments(masses: &[f64]) -> (f64, f64, f64) {
        let total: f64 = masses.iter().sum();
        let mean: f64 = masses.iter().enumerate().map(|(j, m)| j as f64 * m).sum::<f64>() / total;
        let variance = masses.iter().enumerate().map(|(j, m)| (j as f64 - mean).powi(2) * m).sum::<f64>() / total;
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
        let spectrum = Spectrum::of(&kernels, grid, &plans);
        let mean: f64 = kernels.iter().map(|(k, n)| f64::from(*n) * k.mean()).sum();
        let variance: f64 = kernels.iter().map(|(k, n)| f64::from(*n) * k.variance()).sum();
        for normal in [0.0, 1e-5, 0.01] {
            let mut masses = spectrum.masses(normal, -100, &plans);
            let (total, held_mean, held_variance) = moments(&masses);
            assert_abs_diff_eq!(total, 1.0, epsilon = 1e-12);
            assert_abs_diff_eq!((held_mean - 100.0) * grid.step, mean, epsilon = 1e-9);
            let expected = variance + normal + spectrum.inflation;
            assert_abs_diff_eq!(held_variance * grid.step * grid.step, expected, epsilon = 1e-9);
            sharpen(&mut masses, spectrum.inflation / (grid.step * grid.step));
            let (_, _, sharpened) = moments(&masses);
            assert_abs_diff_eq!(sharpened * grid.step * grid.step, variance + normal, epsilon = 1e-9);
        }
    }

    #[test]
    fn lengths_are_even_and_large_enough() {
        for points in [1, 63, 64, 65, 97, 1000, 1537, 40_000] {
            let len = transform_length(points);
            assert!(len >= points && len.is_multiple_of(4) && len < 2 * points.max(64), "{points} {len}");
        }
    }
}
