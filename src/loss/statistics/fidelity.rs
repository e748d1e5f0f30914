//! How far a cumulated lattice law can be from the true one: a bound by Fourier series.
//!
//! Both laws lie in one period `W` of the lattice (but for 1e-12), so their difference has the
//! Fourier coefficients `(R(w) - X(w)) / (i w W)`, `w = 2 pi m / W`, with `R` and `X` the
//! characteristic functions of the reported and of the true law, and nowhere exceeds
//! `1/pi * sum over m >= 1 of |R(w) - X(w)| / m`. `R` is known. Of `X` this is known: splitting a
//! law `f` between lattice points averages it with a tent, so that the spectrum of the split is
//! `f(w) sinc(w h/2)^2` plus images of `f` at `w + 2 pi k/h`, which together are at most
//! `d sin(w h/2)^2` with `d` the law's bound on `|f|` from `pi/h` on (see [`Kernel::decay`]). So
//! dividing the spectra of the splits by `sinc^2` gives `X` up to a known error, for all
//! frequencies that the lattice carries; beyond them `X` is bounded by its decay.

use super::kernel::{Decay, Kernel};
use super::spectrum::{Grid, normal_factor};
use realfft::num_complex::Complex;
use std::f64::consts::PI;

/// Below this, spectra are nil.
const NIL: f64 = 1e-17;
/// Magnitude at the end of a lattice's spectrum that is as good as nil.
const SAMPLED: f64 = 1e-8;
/// What quadrature, the window and rounding may add.
const REST: f64 = 1e-11;

/// What is known of the true spectrum of a sum of kernels at the frequencies of a grid.
pub(super) struct Fidelity {
    grid: Grid,
    /// Number of elements split.
    cells: f64,
    decays: Decays,
    /// At frequency 1, 2, ...
    magnitudes: Vec<Magnitude>,
}

/// A magnitude, and the same with the bound of its error added.
pub(super) type Magnitude = (f64, f64);

/// What the spectrum of the split of a law says of the law's own at frequency 1, 2, ...
pub(super) fn magnitudes(kernel: &Kernel, grid: Grid, split: &[Complex<f64>]) -> Vec<Magnitude> {
    let beyond = kernel.decay().ln_at(PI / grid.step).exp();
    let of_frequency = |(m, value): (usize, &Complex<f64>)| {
        let half_angle = PI * m as f64 / grid.len as f64;
        let sinc = half_angle.sin() / half_angle;
        let magnitude = value.norm() / (sinc * sinc);
        (magnitude, magnitude + beyond * half_angle * half_angle)
    };
    split.iter().enumerate().skip(1).map(of_frequency).collect()
}

/// How the masses of a lattice were made and are read, for [`Fidelity::error`]; all in steps squared.
pub(super) struct Reading {
    /// Variance of the normal part.
    pub(super) variance: f64,
    /// Distance to the variance of the next level, with which the law is mixed.
    pub(super) apart: f64,
    /// Variance taken off by sharpening.
    pub(super) excess: f64,
}

impl Fidelity {
    pub(super) fn new(kernels: &[(Kernel, u32)], grid: Grid) -> Self {
        let decays = Decays::of(kernels);
        let base = 2.0 * PI / (grid.len as f64 * grid.step);
        let needed =
            (1..=grid.len / 2).take_while(|&m| decays.ln_at(base * m as f64) > NIL.ln()).count();
        Self { grid, cells: decays.cells(), decays, magnitudes: vec![(1.0, 1.0); needed] }
    }

    /// Takes in `count` equal laws.
    pub(super) fn include(&mut self, count: u32, known: &[Magnitude]) {
        let count = f64::from(count);
        for ((plain, padded), of_law) in self.magnitudes.iter_mut().zip(known) {
            *plain *= of_law.0.powf(count);
            *padded *= of_law.1.powf(count);
        }
    }

    /// Whether the sum and a normal part of this variance, in steps squared, have no spectrum beyond
    /// that of the lattice.
    pub(super) fn is_sampled(&self, variance: f64) -> bool {
        let step = self.grid.step;
        self.decays.magnitude(variance * step * step, PI / step) < SAMPLED
    }

    /// Bound on the error of every probability read from masses that are spread by quadratic
    /// splines.
    pub(super) fn error(&self, reading: &Reading) -> f64 {
        self.integrated_error(reading, 0)
    }

    /// The same for the probabilities integrated `times` over the loss, in steps.
    ///
    /// The expectation of a function is off by at most this, times the total variation of the
    /// function's derivative of that order: little for a smooth function, whatever kinks the law
    /// itself has.
    pub(super) fn integrated_error(&self, reading: &Reading, times: i32) -> f64 {
        let sampled = self.is_sampled(reading.variance);
        let mut total = 0.0;
        for (m, (plain, padded)) in self.magnitudes.iter().enumerate() {
            let half_angle = PI * (m + 1) as f64 / self.grid.len as f64;
            let angle = 2.0 * half_angle;
            let exact = (-0.5 * reading.variance * angle * angle).exp();
            let normal = normal_factor(reading.variance, angle, sampled);
            if normal.max(exact) < NIL {
                break;
            }
            let sine = half_angle.sin();
            let sinc = sine / half_angle;
            let sharpened = 1.0 + reading.excess * (1.0 - angle.cos());
            let masses = plain * sinc.powf(2.0 * self.cells) * normal * sharpened;
            let mixing = ((reading.apart * angle * angle).powi(2) / 32.0).min(1.0);
            let off = (masses * sinc.powi(3) - plain * exact).abs()
                + (padded - plain + plain * mixing) * exact;
            // The spline's own images: sum over k of sine^3 / (pi |k + m/len|)^3 / |k len + m|.
            let images = 1.05 * PI * masses * sine.powi(3) / self.grid.len as f64;
            total += off / ((m + 1) as f64 * angle.powi(times)) + images / PI.powi(times);
        }
        (total + self.beyond(reading.variance) / PI.powi(times)) / PI + REST
    }

    /// Sum of the true spectrum over its frequencies, beyond those of the lattice.
    fn beyond(&self, variance: f64) -> f64 {
        let squared = self.grid.step * self.grid.step;
        self.decays.tail(variance * squared, PI / self.grid.step, 2.0 / self.grid.len as f64)
    }
}

/// Bounds on the error of masses when a function is summed over them.
pub(super) enum Errors {
    /// By a law computed before, whatever the lattice step: a factor of the function's total
    /// variation.
    Law(f64),
    /// By the lattice itself: for each order, a factor of the total variation of the function's
    /// derivative of that order, in steps.
    Step([(usize, f64); 3]),
    /// Those of cases, each with its probability.
    Cases(Vec<(f64, Errors)>),
}

impl Errors {
    pub(super) fn of_step(fidelity: &Fidelity, reading: &Reading) -> Self {
        Self::Step([0, 2, 4].map(|order| (order, fidelity.integrated_error(reading, order as i32))))
    }

    /// The least bound by the law and by the step, given the variation of each order.
    pub(super) fn least(&self, variation: &impl Fn(usize) -> f64) -> (f64, f64) {
        match self {
            Self::Cases(cases) => cases.iter().fold((0.0, 0.0), |(law, step), (weight, errors)| {
                let more = errors.least(variation);
                (law + weight * more.0, step + weight * more.1)
            }),
            Self::Law(error) => (error * variation(0), 0.0),
            Self::Step(orders) => {
                let least = orders.iter().map(|(order, error)| error * variation(*order));
                (0.0, least.fold(f64::INFINITY, f64::min))
            }
        }
    }
}

/// The decays of all laws of a sum, with their number.
pub(super) struct Decays(Vec<(Decay, f64)>);

impl Decays {
    pub(super) fn of(kernels: &[(Kernel, u32)]) -> Self {
        Self(kernels.iter().map(|(kernel, count)| (kernel.decay(), f64::from(*count))).collect())
    }

    fn cells(&self) -> f64 {
        self.0.iter().map(|(_, count)| count).sum()
    }

    /// Logarithm of the bound on the magnitude of the sum's characteristic function.
    fn ln_at(&self, frequency: f64) -> f64 {
        self.0.iter().map(|(decay, count)| count * decay.ln_at(frequency)).sum()
    }

    /// Bound on the magnitude of the characteristic function of the sum and a normal part.
    pub(super) fn magnitude(&self, variance: f64, frequency: f64) -> f64 {
        (self.ln_at(frequency) - 0.5 * variance * frequency * frequency).exp()
    }

    /// Bound on the sum of `|X(w)| / m` from the frequency `from` on: there `X` falls at least as
    /// `w^-slope`, so that the sum is at most its first term and `X / slope`.
    fn tail(&self, variance: f64, from: f64, first: f64) -> f64 {
        let magnitude = self.magnitude(variance, from);
        if magnitude < NIL {
            return 0.0;
        }
        let powers: f64 = self
            .0
            .iter()
            .map(|(decay, count)| if from > decay.factor { decay.power * count } else { 0.0 })
            .sum();
        magnitude * (first + 1.0 / (powers + variance * from * from))
    }

    /// About the error that a lattice of this step leaves in probabilities by what it cannot carry
    /// and by images, for a sum of this spread; to choose the step by.
    pub(super) fn uncarried(&self, variance: f64, spread: f64, step: f64) -> f64 {
        let from = PI / step;
        let images: f64 = self.0.iter().map(|(decay, count)| count * decay.ln_at(from).exp()).sum();
        let unit = step / (2.0 * spread);
        (self.tail(variance, from, 0.0) + 4.0 * images * unit * unit) / PI
    }
}
