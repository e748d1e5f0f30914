//! A law on a lattice: the mass of each cell is split between both cell ends so that its mean stays.
//!
//! The split is a random rounding: a loss at a fraction `u` of its cell goes to the upper end with
//! probability `u`, to the lower end otherwise. Given the loss, the rounding error has mean zero
//! and lies in an interval of one step; this is what the error bound of the sum rests on.

use super::kernel::{Density, Kernel};
use super::normal::GAUSS;

/// From this many steps on, a length counts as long against the step.
const LONG: f64 = 32.0;
/// Below this fraction of the smallest length in play, a loss is as good as zero.
const NEGLIGIBLE: f64 = 1e-10;

/// Masses on lattice points `0, step, 2 step, ...`.
pub(super) struct Split {
    pub(super) masses: Vec<f64>,
    /// Variance of the masses beyond that of the law itself.
    pub(super) inflation: f64,
}

impl Split {
    pub(super) fn of(kernel: &Kernel, step: f64) -> Self {
        let mut masses = match *kernel {
            Kernel::Uniform { width } => uniform(width, step),
            _ => by_quadrature(kernel, step),
        };
        let total: f64 = masses.iter().sum();
        masses.iter_mut().for_each(|mass| *mass /= total);
        let mean = kernel.mean();
        let variance: f64 =
            masses.iter().enumerate().map(|(j, mass)| mass * (j as f64 * step - mean).powi(2)).sum();
        Self { inflation: (variance - kernel.variance()).max(0.0), masses }
    }
}

fn uniform(width: f64, step: f64) -> Vec<f64> {
    let cells = (width / step).ceil().max(1.0) as usize;
    let mut masses = vec![0.0; cells + 1];
    for cell in 0..cells {
        let filled = (width / step - cell as f64).min(1.0);
        let mass = filled * step / width;
        masses[cell] += mass * (1.0 - 0.5 * filled);
        masses[cell + 1] += mass * 0.5 * filled;
    }
    masses
}

/// Cells near the start, and all cells of a law narrow against the step, are integrated with
/// graded Gauss-Legendre steps; elsewhere the density is smooth on the scale of a step and the
/// tent-shaped split has an expansion in differences of the density at the lattice points.
fn by_quadrature(kernel: &Kernel, step: f64) -> Vec<f64> {
    let (low, high) = kernel.limits();
    let scale = kernel.variance().sqrt();
    let density = kernel.density();
    let cells = (high / step).ceil() as usize + 1;
    let mut masses = vec![0.0; cells + 3];
    let smooth_from = if scale >= LONG * step { (LONG as usize).min(cells) } else { cells };
    let first = (low / step).floor() as usize;
    for cell in first..smooth_from {
        let start = (cell as f64 * step).max(low);
        let (mass, lever) = integrate(kernel, &density, start, cell, step, scale);
        masses[cell] += mass - lever;
        masses[cell + 1] += lever;
    }
    if smooth_from < cells {
        let (mass, lever) =
            integrate(kernel, &density, smooth_from as f64 * step, smooth_from, step, scale);
        masses[smooth_from] += mass - lever;
        expand(&density, step, smooth_from + 1, first, &mut masses);
    }
    masses
}

/// Mass of the cell from `start` on, and that mass times its mean fraction of the cell.
fn integrate(
    kernel: &Kernel,
    density: &Density,
    start: f64,
    cell: usize,
    step: f64,
    scale: f64,
) -> (f64, f64) {
    let origin = cell as f64 * step;
    let end = origin + step;
    let mut x = start;
    let (mut mass, mut lever) = (0.0, 0.0);
    let tiny = NEGLIGIBLE * step.min(scale);
    if x < tiny {
        // A density may be infinite at the start: its first sliver comes from the closed cdf.
        x = tiny;
        mass = kernel.cdf(tiny);
    }
    while x < end {
        let width = (0.25 * x).min(0.5 * scale).min(end - x);
        for (at, weight) in GAUSS {
            let point = x + at * width;
            let part = weight * width * density.at(point);
            mass += part;
            lever += part * (point - origin) / step;
        }
        // The narrowest steps may vanish in rounding at the cell's end.
        x = if x + width > x { x + width } else { end };
    }
    (mass, lever)
}

/// Masses of the points from `from` on. With `d` the second difference, the tent average of a
/// smooth density `f` is `step * (f + d f/12 - d d f/240 + ...)`.
fn expand(density: &Density, step: f64, from: usize, first: usize, masses: &mut [f64]) {
    let at = |j: usize| density.at(j as f64 * step) * step;
    let from = from.max(first);
    let mut window = [at(from - 2), at(from - 1), at(from), at(from + 1), 0.0];
    for (j, mass) in masses.iter_mut().enumerate().skip(from) {
        window[4] = at(j + 2);
        let far = window[0] + window[4];
        let near = window[1] + window[3];
        *mass = (0.1 * near + (97.0 * window[2] - 0.5 * far) / 120.0).max(0.0);
        window.copy_within(1.., 0);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn laws() -> Vec<Kernel> {
        vec![
            Kernel::Uniform { width: 0.4003 },
            Kernel::Gamma { shape: 1.0, scale: 0.05 },
            Kernel::Gamma { shape: 0.3, scale: 0.2 },
            Kernel::Gamma { shape: 40.0, scale: 0.05 },
            Kernel::Weibull { steepness: 2.05, scale: 0.135 },
            Kernel::Weibull { steepness: 0.5, scale: 0.02 },
            Kernel::LogNormal { location: -1.72, spread: 0.47 },
            Kernel::LogNormal { location: 1.0, spread: 1e-4 },
            Kernel::HalfNormal { sigma: 0.2 },
            Kernel::CutNormal { center: 0.05, sigma: 0.05 },
            Kernel::CutNormal { center: -0.3, sigma: 0.2 },
        ]
    }

    #[test]
    fn split_keeps_the_mean_and_adds_at_most_a_quarter_step_squared() {
        for kernel in laws() {
            for step in [1e-4, 1e-3, 0.03, 1.0] {
                let split = Split::of(&kernel, step);
                let mean: f64 = split.masses.iter().enumerate().map(|(j, m)| m * j as f64 * step).sum();
                assert_abs_diff_eq!(mean, kernel.mean(), epsilon = 2e-9 * step.max(kernel.mean()));
                assert!(
                    split.inflation <= 0.2501 * step * step,
                    "{kernel:?} {step} {}",
                    split.inflation
                );
            }
        }
    }

    #[test]
    fn split_is_the_tent_average_of_the_law() {
        // The same masses from the integrated cdf: second differences of its integral, by Simpson's
        // rule in the sixth root of the loss, where no law is singular.
        let step = 0.01;
        for kernel in laws().into_iter().filter(|kernel| kernel.variance().sqrt() > 0.01) {
            let split = Split::of(&kernel, step);
            let integral = |from: f64| {
                let (low, high) = (from.powf(1.0 / 6.0), (from + step).powf(1.0 / 6.0));
                let height = (high - low) / 2000.0;
                let value = |k: i32| {
                    let root = low + f64::from(k) * height;
                    6.0 * root.powi(5) * kernel.cdf(root.powi(6))
                };
                let middle: f64 = (1..2000).map(|k| f64::from(2 + 2 * (k % 2)) * value(k)).sum();
                height / 3.0 * (value(0) + middle + value(2000))
            };
            for j in [1_usize, 2, 5, 13, 40, 100] {
                let x = j as f64 * step;
                let expected = (integral(x) - integral(x - step)) / step;
                let held = split.masses.get(j).copied().unwrap_or(0.0);
                assert_abs_diff_eq!(held, expected, epsilon = 1e-9);
            }
        }
    }
}
