//! [`Lattice`]: the cumulated law of the random part of a sum, and how far it can be off.

use super::spectrum::sharpen;

/// Probability by which "not exceeded with probability p" may be off where the error bound of a
/// quantile holds.
pub(super) const SLACK: f64 = 1e-6;
/// Probability at the ends of the lattice, where rounding of the transforms takes over, that is not
/// kept.
const DUST: f64 = 1e-14;

/// Cumulated probabilities half a step above each lattice point, straight in between: the masses
/// spread evenly over their cells.
pub(super) struct Lattice {
    step: f64,
    /// Where the first entry of `cumulated` stands.
    start: f64,
    cumulated: Vec<f64>,
    /// Bound on the shift of a quantile.
    pub(super) shift: f64,
    /// Half the variance that the lattice added before it was sharpened: times the curvature of a
    /// probability this is what the lattice changed in it.
    pub(super) half_inflation: f64,
}

/// What the masses of a lattice come from.
pub(super) struct Making {
    pub(super) step: f64,
    /// Lattice point of the first mass.
    pub(super) first: i64,
    /// Variance added by the splits.
    pub(super) inflation: f64,
    /// Number of elements that were split.
    pub(super) cells: f64,
    /// How far the standard deviation of the normal part may be off.
    pub(super) level: f64,
}

impl Lattice {
    pub(super) fn new(mut masses: Vec<f64>, making: &Making) -> Self {
        let squared = making.step * making.step;
        let inflation = making.inflation + squared / 12.0;
        let raw = cumulate(&masses);
        sharpen(&mut masses, inflation / squared);
        let cumulated = cumulate(&masses);
        let shift = coupled_shift(making) + making.step * sharpening_shift(&raw, &cumulated);
        let (from, to) = kept(&cumulated);
        Self {
            step: making.step,
            start: (making.first as f64 + from as f64 + 0.5) * making.step,
            cumulated: cumulated[from..to].to_vec(),
            shift,
            half_inflation: 0.5 * inflation,
        }
    }

    /// Number of cumulated probabilities kept.
    pub(super) fn len(&self) -> usize {
        self.cumulated.len()
    }

    /// The ends of the lattice kept.
    pub(super) fn limits(&self) -> (f64, f64) {
        (self.start - self.step, self.start + self.cumulated.len() as f64 * self.step)
    }

    /// Probability of at most `x`.
    pub(super) fn cdf(&self, x: f64) -> f64 {
        let at = (x - self.start) / self.step;
        if at < 0.0 {
            return (self.cumulated[0] * (1.0 + at)).max(0.0);
        }
        let cell = at as usize;
        match self.cumulated.get(cell..cell + 2) {
            Some(&[low, high]) => low + (at - cell as f64) * (high - low),
            _ => 1.0,
        }
    }

    /// The value not exceeded with probability `p`.
    pub(super) fn quantile(&self, p: f64) -> f64 {
        let above = self.cumulated.partition_point(|&held| held < p);
        let high = self.cumulated.get(above).copied().unwrap_or(1.0);
        let low = if above == 0 { 0.0 } else { self.cumulated[above - 1] };
        let part = if high > low { ((p - low) / (high - low)).clamp(0.0, 1.0) } else { 0.0 };
        self.start + (above as f64 - 1.0 + part) * self.step
    }
}

fn cumulate(masses: &[f64]) -> Vec<f64> {
    let mut total = 0.0;
    let mut cumulated: Vec<f64> = masses
        .iter()
        .map(|mass| {
            total += mass;
            total
        })
        .collect();
    cumulated.iter_mut().for_each(|value| *value /= total);
    cumulated
}

/// The part of the lattice that holds all but dust.
fn kept(cumulated: &[f64]) -> (usize, usize) {
    let from = cumulated.partition_point(|&value| value < DUST).saturating_sub(1);
    let to = cumulated.partition_point(|&value| value < 1.0 - DUST) + 1;
    (from, to.clamp(from + 1, cumulated.len()))
}

/// How far a quantile of the masses, spread over their cells, can be from the true one.
///
/// The lattice sum is the true sum plus independent errors: one rounding of mean zero within an
/// interval of one step for each of `n` elements, one even spread over a cell, and the difference
/// `d Z` where the normal part's standard deviation is off by `d`. By Hoeffding's inequality their
/// total exceeds `t` with probability at most `exp(-t^2 / (2 v))`, `v = (n + 1) step^2/4 + d^2`.
/// With `t` such that this is one millionth, `P(true <= x - t) - 1e-6 <= P(lattice <= x) <=
/// P(true <= x + t) + 1e-6`. No more than `n + 1/2` steps are possible from rounding and spread.
fn coupled_shift(making: &Making) -> f64 {
    let sure = 2.0 * -SLACK.ln();
    let soft = (sure * ((making.cells + 1.0) * 0.25 * making.step * making.step + making.level * making.level)).sqrt();
    let hard = (making.cells + 0.5) * making.step + making.level * sure.sqrt();
    soft.min(hard)
}

/// How far sharpening moved any quantile, in steps.
fn sharpening_shift(raw: &[f64], sharp: &[f64]) -> f64 {
    let mut largest = 0.0_f64;
    for j in 1..raw.len() - 1 {
        if sharp[j] < SLACK || sharp[j] > 1.0 - SLACK {
            continue;
        }
        let moved = (sharp[j] - raw[j]).abs();
        let room = (raw[j] - raw[j - 1]).min(raw[j + 1] - raw[j]);
        largest = largest.max(if moved <= room { moved / room.max(f64::MIN_POSITIVE) } else { steps_between(raw, sharp[j], j) });
    }
    largest
}

/// Number of cells between entry `from` and the entry where `raw` reaches `value`.
fn steps_between(raw: &[f64], value: f64, from: usize) -> f64 {
    (raw.partition_point(|&held| held < value) as f64 - from as f64).abs() + 1.0
}
