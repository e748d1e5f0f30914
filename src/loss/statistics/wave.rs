//! [`Wave`]: a probability as a function of the loss accumulated so far.

use super::distribution::LossDistribution;
use super::spectrum::{Masses, Plans, transform_length};
use std::ops::Range;

/// Products of lengths from which a transform is faster than a double loop.
const LONG: usize = 1 << 14;
/// Values this close to the constant beside them are part of it.
const SAME: f64 = 1e-15;

/// Least and most loss, which may be infinite.
pub(super) type Limits = (f64, f64);

/// Values at lattice points, constant below and above them.
#[derive(Clone, Debug)]
pub(super) struct Wave {
    pub(super) first: i64,
    pub(super) values: Vec<f64>,
    pub(super) below: f64,
    pub(super) above: f64,
}

impl Wave {
    pub(super) fn constant(value: f64) -> Self {
        Self { first: 0, values: Vec::new(), below: value, above: value }
    }

    /// Probability that a loss of this law, added to the losses `origin + j * step` accumulated before,
    /// ends up between two limits; `j` in `range`.
    pub(super) fn of_law(
        law: &LossDistribution,
        (least, most): Limits,
        origin: f64,
        step: f64,
        range: &Range<i64>,
    ) -> Self {
        let (low, high) = law.limits();
        let point = |loss: f64| ((loss - origin) / step).clamp(range.start as f64, range.end as f64);
        let from = if least.is_finite() { least - high } else { most - high };
        let to = if most.is_finite() { most - low } else { least - low };
        let (first, last) = (point(from).floor() as i64, point(to).ceil() as i64);
        let values = (first..last)
            .map(|j| {
                let accumulated = origin + j as f64 * step;
                law.within(least - accumulated, most - accumulated)
            })
            .collect();
        let beyond = |limit: f64| if limit.is_finite() { 0.0 } else { 1.0 };
        Self { first, values, below: beyond(least), above: beyond(most) }.clipped(range)
    }

    /// Whether each of the same losses lies between two limits; a cell that holds a limit counts by its
    /// part within.
    pub(super) fn of_limits((least, most): Limits, origin: f64, step: f64, range: &Range<i64>) -> Self {
        let in_range = |x: f64| x.clamp(range.start as f64 - 2.0, range.end as f64 + 2.0);
        let (from, to) = (in_range((least - origin) / step), in_range((most - origin) / step));
        let first = from.round() as i64;
        let last = (to.round() as i64 + 1).max(first);
        let values = (first..last)
            .map(|j| {
                let (low, high) = (j as f64 - 0.5, j as f64 + 0.5);
                (to.min(high) - from.max(low)).clamp(0.0, 1.0)
            })
            .collect();
        Self { first, values, below: 0.0, above: 0.0 }.clipped(range)
    }

    fn end(&self) -> i64 {
        self.first + self.values.len() as i64
    }

    pub(super) fn at(&self, j: i64) -> f64 {
        if j < self.first {
            self.below
        } else {
            self.values.get((j - self.first) as usize).copied().unwrap_or(self.above)
        }
    }

    /// The same within `range`; what lies outside is not kept.
    fn clipped(mut self, range: &Range<i64>) -> Self {
        if self.end() <= range.start {
            return Self::constant(self.above);
        }
        if self.first >= range.end {
            return Self::constant(self.below);
        }
        let keep = (self.end().min(range.end) - self.first).max(0) as usize;
        self.values.truncate(keep);
        let skip = (range.start - self.first).max(0) as usize;
        self.values.drain(..skip);
        self.first += skip as i64;
        self.trimmed()
    }

    /// Without values that equal the constant beside them.
    fn trimmed(mut self) -> Self {
        while self.values.last().is_some_and(|value| (value - self.above).abs() < SAME) {
            self.values.pop();
        }
        let skip = self.values.iter().take_while(|value| (**value - self.below).abs() < SAME).count();
        self.values.drain(..skip);
        self.first += skip as i64;
        self
    }

    /// The product of waves, each to a power.
    pub(super) fn product(factors: &[(Self, u32)]) -> Self {
        let constant =
            |side: fn(&Self) -> f64| factors.iter().map(|(wave, n)| power(side(wave), *n)).product();
        let (below, above): (f64, f64) = (constant(|wave| wave.below), constant(|wave| wave.above));
        let varying = || factors.iter().map(|(wave, _)| wave).filter(|wave| !wave.is_constant());
        // Where one factor is zero for good, the product is.
        let lowest = varying().map(|wave| wave.first).min().unwrap_or(0);
        let highest = varying().map(Self::end).max().unwrap_or(0);
        let first =
            varying().filter(|wave| wave.below == 0.0).map(|wave| wave.first).fold(lowest, i64::max);
        let end = varying().filter(|wave| wave.above == 0.0).map(Self::end).fold(highest, i64::min);
        let mut values = vec![1.0; (end - first).max(0) as usize];
        for (wave, count) in factors {
            for (value, j) in values.iter_mut().zip(first..) {
                *value *= power(wave.at(j), *count);
            }
        }
        Self { first, values, below, above }.trimmed()
    }

    pub(super) fn is_constant(&self) -> bool {
        self.values.is_empty() && self.below == self.above
    }

    /// Expectation of the wave over a segment's loss, given what is accumulated before it, `j` in
    /// `range`.
    pub(super) fn before(&self, masses: &Masses, range: &Range<i64>, plans: &Plans) -> Self {
        if self.is_constant() {
            return self.clone();
        }
        let span = masses.values.len() as i64;
        let first = (self.first - (masses.first + span - 1)).max(range.start);
        let end = (self.end() - masses.first).min(range.end);
        if first >= end {
            return Self::constant(if first >= range.end { self.below } else { self.above });
        }
        let shifted: Vec<f64> =
            (first + masses.first..end + masses.first + span - 1).map(|j| self.at(j)).collect();
        let values = correlate(&shifted, &masses.values, plans);
        Self { first, values, below: self.below, above: self.above }.trimmed()
    }

    /// How much of the wave is too short for the lattice, within a range: its eighth differences, a
    /// 64th of them, about four times what a ripple from point to point that is as high would give.
    pub(super) fn roughness(&self, range: &Range<i64>) -> Self {
        let (first, mut values) = self.differences(8, range);
        values.iter_mut().for_each(|value| *value = value.abs() / 64.0);
        Self { first, values, below: 0.0, above: 0.0 }
    }

    /// The largest value.
    pub(super) fn largest(&self) -> f64 {
        self.values.iter().copied().fold(self.below.max(self.above), f64::max)
    }

    /// The largest second difference around the points of a range.
    pub(super) fn curvature(&self, range: &Range<i64>) -> f64 {
        let inside = range.start.max(self.first - 1)..range.end.min(self.end() + 1);
        inside.map(|j| (self.at(j - 1) - 2.0 * self.at(j) + self.at(j + 1)).abs()).fold(0.0, f64::max)
    }

    /// Total variation of the derivative of this order within a range, by steps: for order 0, at most
    /// 1 for a falling probability.
    pub(super) fn variation(&self, order: usize, range: &Range<i64>) -> f64 {
        self.differences(order + 1, range).1.iter().map(|value| value.abs()).sum()
    }

    /// Differences of this order around the points of a range, all that are not zero, and the first
    /// of these points.
    fn differences(&self, order: usize, range: &Range<i64>) -> (i64, Vec<f64>) {
        let (back, ahead) = ((order / 2) as i64, order.div_ceil(2) as i64);
        let first = range.start.max(self.first - ahead);
        let end = range.end.min(self.end() + back).max(first);
        let mut values: Vec<f64> = (first - back..end + ahead).map(|j| self.at(j)).collect();
        for _ in 0..order {
            for j in 1..values.len() {
                values[j - 1] = values[j] - values[j - 1];
            }
            values.pop();
        }
        (first, values)
    }
}

/// `x^n`, quick for the many factors of 1.
fn power(value: f64, count: u32) -> f64 {
    match count {
        1 => value,
        _ => value.powf(f64::from(count)),
    }
}

/// `sum over k of values[j + k] * weights[k]`, for every `j` at which all weights meet a value.
fn correlate(values: &[f64], weights: &[f64], plans: &Plans) -> Vec<f64> {
    let results = values.len() + 1 - weights.len();
    if results * weights.len() < LONG {
        return values
            .windows(weights.len())
            .map(|window| window.iter().zip(weights).map(|(value, weight)| value * weight).sum())
            .collect();
    }
    let len = transform_length(values.len());
    let mut padded = vec![0.0; len];
    padded[..values.len()].copy_from_slice(values);
    let mut product = plans.spectrum(&mut padded);
    padded.fill(0.0);
    padded[..weights.len()].copy_from_slice(weights);
    let factor = plans.spectrum(&mut padded);
    product.iter_mut().zip(&factor).for_each(|(held, other)| *held *= other.conj());
    let mut result = plans.values(product, len);
    result.truncate(results);
    result.iter_mut().for_each(|value| *value = value.clamp(0.0, 1.0));
    result
}
