//! [`Lattice`]: the cumulated law of the random part of a sum, and how far it can be off.

use super::fidelity::Reading;
use super::spectrum::{Masses, Spectrum};

/// Probabilities that Hoeffding's inequality may leave out; where a law is thin, a smaller one serves.
const SLACKS: [f64; 4] = [1e-6, 1e-8, 1e-10, 1e-12];
/// Quantiles of probabilities from this to one less this are held to the error bound.
pub(super) const HELD: f64 = 1e-3;
/// Probability at the ends of the lattice, where rounding of the transforms takes over, that is not
/// kept.
const DUST: f64 = 1e-14;
/// Variance of the quadratic spline that spreads a mass, in steps squared.
pub(super) const SPREADING: f64 = 0.25;

/// Cumulated masses of lattice points. A probability is read as if each mass were spread by the
/// quadratic B-spline, three steps wide: smooth, and never decreasing.
pub(super) struct Lattice {
    step: f64,
    /// Where the lattice point of the first entry of `cumulated` stands.
    start: f64,
    cumulated: Vec<f64>,
    /// Bound on the error of any probability.
    pub(super) error: f64,
    /// Bound on the error of a quantile of a probability from `HELD` to `1 - HELD`.
    pub(super) shift: f64,
    /// By how much the sum may be moved, but for what probability.
    pub(super) moved: (f64, f64),
}

/// The normal part of a sum: its standard deviation, and that of the next level above.
#[derive(Clone, Copy)]
pub(super) struct Level {
    pub(super) spread: f64,
    pub(super) next: f64,
}

impl Lattice {
    pub(super) fn new(
        spectrum: &Spectrum,
        cells: f64,
        level: Level,
        masses: impl Fn(f64) -> Masses,
    ) -> Self {
        let squared = spectrum.grid.step * spectrum.grid.step;
        let excess = spectrum.inflation + SPREADING * squared;
        let (sharp, clamped) = masses(excess).clamped();
        let reading = Reading {
            variance: level.spread * level.spread / squared,
            apart: (level.next * level.next - level.spread * level.spread) / squared,
            excess: excess / squared,
        };
        let error = spectrum.fidelity.error(&reading) + clamped;
        Self::cumulated(&sharp, error).bounded(cells, level, excess)
    }

    fn cumulated(masses: &Masses, error: f64) -> Self {
        let mut total = 0.0;
        let cumulated: Vec<f64> = masses
            .values
            .iter()
            .map(|mass| {
                total += mass;
                total
            })
            .collect();
        let from = cumulated.partition_point(|&value| value < DUST).saturating_sub(2);
        let to = (cumulated.partition_point(|&value| value < total - DUST) + 1).min(cumulated.len());
        Self {
            step: masses.step,
            start: (masses.first + from as i64) as f64 * masses.step,
            cumulated: cumulated[from..to].iter().map(|value| value / total).collect(),
            error,
            shift: f64::INFINITY,
            moved: (f64::INFINITY, 0.0),
        }
    }

    /// Finds the bound on quantiles. One comes from the bound on probabilities and the smallest
    /// density between the outermost quantiles held.
    ///
    /// The other needs no smoothness: the lattice sum is the true sum plus independent errors, a
    /// rounding of mean zero within an interval of one step for each of `n` elements and the
    /// difference `d Z` where the normal part's standard deviation is off by `d`. By Hoeffding's
    /// inequality their total exceeds `t` with probability at most `exp(-t^2 / (2 v))`,
    /// `v = n step^2/4 + d^2`; no more than `n` steps are possible from rounding. Spreading by the
    /// spline moves at most 1.5 steps; sharpening is counted by what it can move.
    fn bounded(mut self, cells: f64, level: Level, excess: f64) -> Self {
        let (low, high) = (self.near_quantile(HELD), self.near_quantile(1.0 - HELD));
        let thinnest = self.thinnest_density(low, high);
        let apart = level.next - level.spread;
        let reading = 1.5 * self.step + excess.sqrt();
        let by_rounding = |slack: f64| {
            let sure = -2.0 * slack.ln();
            let soft = (sure * (cells * 0.25 * self.step * self.step + apart * apart)).sqrt();
            let hard = cells * self.step + apart * sure.sqrt();
            (soft.min(hard) + reading, slack)
        };
        let total = |(moved, slack): (f64, f64)| moved + slack / thinnest;
        let best = SLACKS.map(by_rounding).into_iter().min_by(|a, b| total(*a).total_cmp(&total(*b)));
        self.moved = best.unwrap_or(self.moved);
        self.shift = (self.error / thinnest).min(total(self.moved));
        self
    }

    /// The smallest average density over any cell that lies between two losses.
    fn thinnest_density(&self, low: f64, high: f64) -> f64 {
        let index = |x: f64| (x - self.start) / self.step;
        let from = (index(low) - 1.0).max(1.0) as usize;
        let to = (index(high) + 2.0).min(self.cumulated.len() as f64 - 1.0) as usize;
        let smallest =
            (from..=to).map(|j| self.cumulated[j] - self.cumulated[j - 1]).fold(f64::INFINITY, f64::min);
        smallest / self.step
    }

    /// Number of cumulated probabilities kept.
    pub(super) fn len(&self) -> usize {
        self.cumulated.len()
    }

    /// The ends of the lattice kept.
    pub(super) fn limits(&self) -> (f64, f64) {
        (self.start - 1.5 * self.step, self.start + (self.cumulated.len() as f64 + 1.5) * self.step)
    }

    /// Probability of at most `x`.
    pub(super) fn cdf(&self, x: f64) -> f64 {
        match self.cell(x) {
            Cell::Below => 0.0,
            Cell::Within(around, offset) => spread(around, offset),
            Cell::Above => 1.0,
        }
    }

    /// The lattice point nearest to `x`, if a mass reaches it.
    fn cell(&self, x: f64) -> Cell {
        // Counted from two points below the first, so that the cast rounds down.
        let at = (x - self.start) / self.step + 2.0;
        if at < 0.5 {
            return Cell::Below;
        }
        let nearest = (at + 0.5) as usize;
        if nearest > self.cumulated.len() + 2 {
            return Cell::Above;
        }
        Cell::Within(self.around(nearest), at - nearest as f64)
    }

    /// Cumulated masses up to two points below, one below, at and one above a lattice point, which is
    /// counted from two points below the first.
    fn around(&self, point: usize) -> [f64; 4] {
        if let Some(&[a, b, c, d]) =
            point.checked_sub(4).and_then(|from| self.cumulated.get(from..from + 4))
        {
            return [a, b, c, d];
        }
        [point, point + 1, point + 2, point + 3].map(|j| match j.checked_sub(4) {
            None => 0.0,
            Some(j) => self.cumulated.get(j).copied().unwrap_or(1.0),
        })
    }

    /// Density at `x`.
    pub(super) fn density(&self, x: f64) -> f64 {
        match self.cell(x) {
            Cell::Within(around, offset) => slope(around, offset) / self.step,
            Cell::Below | Cell::Above => 0.0,
        }
    }

    /// The value not exceeded with probability `p`, to a step.
    pub(super) fn near_quantile(&self, p: f64) -> f64 {
        let above = self.cumulated.partition_point(|&held| held < p);
        let high = self.cumulated.get(above).copied().unwrap_or(1.0);
        let low = if above == 0 { 0.0 } else { self.cumulated[above - 1] };
        let part = if high > low { (p - low) / (high - low) } else { 0.0 };
        self.start + (above as f64 - 0.5 + part) * self.step
    }
}

/// Where a loss lies on a lattice.
enum Cell {
    Below,
    /// Cumulated masses around the nearest point, and the offset from it in steps.
    Within([f64; 4], f64),
    Above,
}

/// Probability at `offset` (-1/2 to 1/2 steps) from a lattice point, given the cumulated masses up
/// to two points below it, one below, at and one above.
fn spread([base, below, at, above]: [f64; 4], offset: f64) -> f64 {
    let (left, right) = (0.5 - offset, 0.5 + offset);
    base + (below - base) * (1.0 - left * left * left / 6.0)
        + (at - below) * (0.5 + offset * (0.75 - offset * offset / 3.0))
        + (above - at) * (right * right * right / 6.0)
}

/// Derivative of [`spread`] by `offset`.
fn slope([base, below, at, above]: [f64; 4], offset: f64) -> f64 {
    let (left, right) = (0.5 - offset, 0.5 + offset);
    0.5 * (below - base) * left * left
        + (at - below) * (0.75 - offset * offset)
        + 0.5 * (above - at) * right * right
}
