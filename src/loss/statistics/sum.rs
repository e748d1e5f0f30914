//! [`LossSum`]: independent losses, one after the other.

use super::chance::{Chance, MeanNumber, Often};
use super::inner;
use super::kernel::Kernel;
use super::normal;
use super::shape::Shape;
use crate::units::{Decibels, Probability};
use std::hash::{Hash, Hasher};

/// A sum of independent losses: the elements of a light path, in any order.
///
/// Two elements of one kind are two draws, not twice one draw: `add_times(shape, 2)` adds two
/// independent losses. Kept apart are the constant part, the variance of all normal parts (they
/// add in closed form), the other laws with their number, and what comes a random number of times, so
/// that adding and merging are cheap and two sums with the same random part share one computed distribution.
///
/// Equality and hash compare the exact content.
#[derive(Debug, Default)]
pub struct LossSum {
    pub(super) constant: f64,
    pub(super) variance: f64,
    /// Sorted by kernel, each kernel once.
    pub(super) kernels: Vec<(Kernel, u32)>,
    /// Losses of a random number; sorted, each kind once.
    pub(super) chances: Vec<Chance>,
}

impl LossSum {
    /// The empty sum: no loss.
    pub fn new() -> Self {
        Self::default()
    }

    /// Adds the loss of one element.
    pub fn add(&mut self, shape: &Shape) {
        self.add_times(shape, 1);
    }

    /// Adds `count` independent losses of the same law.
    pub fn add_times(&mut self, shape: &Shape, count: u32) {
        self.constant += f64::from(count) * shape.0.constant;
        self.variance += f64::from(count) * shape.0.variance;
        if let Some(kernel) = shape.0.kernel {
            self.add_kernel(kernel, count);
        }
    }

    /// Adds a loss that is there in a share of all cases, `count` times independently: `count`
    /// connectors of which each is dirty with probability `share` and then loses `each` more.
    pub fn add_in_share(&mut self, share: Probability, each: &Shape, count: u32) {
        let probability = share.value();
        if probability == 1.0 {
            self.add_times(each, count);
        } else if probability > 0.0 && count > 0 {
            let often = Often::Trials { count, probability };
            Chance { often, times: 1, each: each.0 }.add_to(&mut self.chances);
        }
    }

    /// Adds a random number of losses: events that come one by one without memory of each other
    /// (Poisson's law), `mean` of them on average, each with `times` independent losses of one law.
    pub fn add_poisson(&mut self, mean: MeanNumber, times: u32, each: &Shape) {
        let mean = mean.value();
        if mean > 0.0 && times > 0 {
            Chance { often: Often::Poisson { mean }, times, each: each.0 }.add_to(&mut self.chances);
        }
    }

    /// Adds a loss without spread.
    pub fn add_fixed(&mut self, loss: Decibels) {
        self.constant += loss.value();
    }

    /// Adds all losses of another sum, independent of those already here.
    pub fn merge(&mut self, other: &Self) {
        self.constant += other.constant;
        self.variance += other.variance;
        for &(kernel, count) in &other.kernels {
            self.add_kernel(kernel, count);
        }
        for chance in &other.chances {
            chance.add_to(&mut self.chances);
        }
    }

    fn add_kernel(&mut self, kernel: Kernel, count: u32) {
        if count == 0 {
            return;
        }
        match self.kernels.binary_search_by(|(held, _)| held.cmp(&kernel)) {
            Ok(at) => self.kernels[at].1 = self.kernels[at].1.saturating_add(count),
            Err(at) => self.kernels.insert(at, (kernel, count)),
        }
    }

    /// The mean: the sum of the means.
    pub fn mean(&self) -> Decibels {
        let random: f64 =
            self.kernels.iter().map(|(kernel, count)| f64::from(*count) * kernel.mean()).sum();
        let by_chance: f64 = self.chances.iter().map(|chance| chance.moments().0).sum();
        Decibels::new(self.constant + random + by_chance)
    }

    /// The standard deviation: the root of the sum of the variances.
    pub fn spread(&self) -> Decibels {
        Decibels::new(self.total_variance().sqrt())
    }

    pub(super) fn total_variance(&self) -> f64 {
        let random: f64 =
            self.kernels.iter().map(|(kernel, count)| f64::from(*count) * kernel.variance()).sum();
        let by_chance: f64 = self.chances.iter().map(|chance| chance.moments().1).sum();
        self.variance + random + by_chance
    }

    /// Whether nothing in the sum has a spread.
    pub fn is_fixed(&self) -> bool {
        self.variance == 0.0 && self.kernels.is_empty() && self.chances.is_empty()
    }

    /// Mean plus the normal law's multiple of the standard deviation for `p` (1.88 for 97 %): what
    /// the customary k-sigma rule gives. It is too low for few, skewed losses; see
    /// [`LossDistribution::quantile`](super::LossDistribution::quantile) for the true figure.
    pub fn normal_quantile(&self, p: Probability) -> Decibels {
        Decibels::new(self.mean().value() + normal::quantile(inner(p)) * self.spread().value())
    }
}

impl FromIterator<Shape> for LossSum {
    fn from_iter<I: IntoIterator<Item = Shape>>(shapes: I) -> Self {
        let mut sum = Self::new();
        for shape in shapes {
            sum.add(&shape);
        }
        sum
    }
}

impl Clone for LossSum {
    fn clone(&self) -> Self {
        Self {
            constant: self.constant,
            variance: self.variance,
            kernels: self.kernels.clone(),
            chances: self.chances.clone(),
        }
    }

    /// Keeps the memory of `self`.
    fn clone_from(&mut self, other: &Self) {
        self.constant = other.constant;
        self.variance = other.variance;
        self.kernels.clone_from(&other.kernels);
        self.chances.clone_from(&other.chances);
    }
}

impl PartialEq for LossSum {
    fn eq(&self, other: &Self) -> bool {
        self.constant.to_bits() == other.constant.to_bits()
            && self.variance.to_bits() == other.variance.to_bits()
            && self.kernels == other.kernels
            && self.chances == other.chances
    }
}

impl Eq for LossSum {}

impl Hash for LossSum {
    fn hash<H: Hasher>(&self, state: &mut H) {
        state.write_u64(self.constant.to_bits());
        state.write_u64(self.variance.to_bits());
        self.kernels.hash(state);
        self.chances.hash(state);
    }
}

/// The kernels of a sum with those gamma laws joined that have the same scale: their sum is again
/// a gamma law, exactly. The shapes add in sorted order, so the result depends on content alone.
pub(super) fn joined(kernels: &[(Kernel, u32)]) -> Vec<(Kernel, u32)> {
    let mut result: Vec<(Kernel, u32)> = Vec::with_capacity(kernels.len());
    for &(kernel, count) in kernels {
        let Kernel::Gamma { shape, scale } = kernel else {
            result.push((kernel, count));
            continue;
        };
        let more = shape * f64::from(count);
        match result.last_mut() {
            Some((Kernel::Gamma { shape: held, scale: same }, _)) if *same == scale => *held += more,
            _ => result.push((Kernel::Gamma { shape: more, scale }, 1)),
        }
    }
    result
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    fn db(value: f64) -> Decibels {
        Decibels::new(value)
    }

    #[test]
    fn two_joints_are_two_draws_not_twice_one_draw() {
        let joint = Shape::normal(db(0.2), db(0.1)).unwrap();
        let mut two = LossSum::new();
        two.add_times(&joint, 2);
        // One draw doubled would have a spread of 0.2 dB; two draws have 0.1 * sqrt(2).
        assert_relative_eq!(two.spread().value(), 0.1 * 2_f64.sqrt(), max_relative = 1e-12);
        assert_relative_eq!(two.mean().value(), 0.4, max_relative = 1e-12);
    }

    #[test]
    fn content_decides_equality_whatever_the_order() {
        let a = Shape::exponential(db(0.0), db(0.05)).unwrap();
        let b = Shape::uniform(db(0.0), db(0.5)).unwrap();
        let forward: LossSum = [a, b, a].into_iter().collect();
        let backward: LossSum = [b, a, a].into_iter().collect();
        assert_eq!(forward, backward);
        let mut merged: LossSum = [a].into_iter().collect();
        merged.merge(&[a, b].into_iter().collect());
        assert_eq!(forward, merged);
        assert_ne!(forward, [a, b].into_iter().collect());
    }

    #[test]
    fn gamma_laws_of_one_scale_join() {
        let splice = Kernel::Gamma { shape: 1.0, scale: 0.05 };
        let longer = Kernel::Gamma { shape: 2.5, scale: 0.05 };
        let other = Kernel::Gamma { shape: 1.0, scale: 0.06 };
        let mut kernels = vec![(splice, 10), (longer, 2), (other, 1)];
        kernels.sort();
        let joined = joined(&kernels);
        assert_eq!(joined, vec![(Kernel::Gamma { shape: 15.0, scale: 0.05 }, 1), (other, 1)]);
    }
}
