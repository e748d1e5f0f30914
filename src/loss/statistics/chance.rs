//! [`Chance`]: losses that are there by chance, a random number of times.
//!
//! A share of dirty connectors, a random number of repairs: such a sum is no new kind of lattice law.
//! Given how often each chance came it is a sum of certain laws, so its law is the mixture of those,
//! each with the probability of its numbers. That is exact; what is left out is below 1e-12.

use super::kernel::Kernel;
use super::shape::{Parts, Shape};
use super::sum::LossSum;
use statrs::function::gamma::ln_gamma;
use std::cmp::Ordering;
use std::hash::{Hash, Hasher};

/// Probability of a case below which it is left out.
const NIL: f64 = 1e-15;
/// Most cases followed; the least probable of more are left out.
const MOST_CASES: usize = 4096;
/// Largest mean number accepted: each number that may be is a law to compute.
const MOST_ON_AVERAGE: f64 = 100.0;

/// How often something is there on average, dimensionless.
#[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
pub struct MeanNumber(f64);

impl MeanNumber {
    /// A number between 0 and 100.
    pub fn new(value: f64) -> Option<Self> {
        (0.0..=MOST_ON_AVERAGE).contains(&value).then_some(Self(value))
    }

    /// The dimensionless number.
    pub fn value(self) -> f64 {
        self.0
    }
}

/// Independent equal losses of a random number.
#[derive(Clone, Copy, Debug)]
pub(super) struct Chance {
    pub(super) often: Often,
    /// Losses that come each time.
    pub(super) times: u32,
    pub(super) each: Parts,
}

/// The law of a number.
#[derive(Clone, Copy, Debug)]
pub(super) enum Often {
    /// In each of so many trials with this probability, between 0 and 1.
    Trials { count: u32, probability: f64 },
    /// Poisson's law with this mean, above 0.
    Poisson { mean: f64 },
}

impl Often {
    /// Mean and variance.
    fn moments(self) -> (f64, f64) {
        match self {
            Self::Trials { count, probability } => {
                let mean = f64::from(count) * probability;
                (mean, mean * (1.0 - probability))
            }
            Self::Poisson { mean } => (mean, mean),
        }
    }

    /// Logarithm of the probability of a number.
    fn ln_probability(self, number: u32) -> f64 {
        let k = f64::from(number);
        match self {
            Self::Trials { count, probability } => {
                let n = f64::from(count);
                let ways = ln_gamma(n + 1.0) - ln_gamma(k + 1.0) - ln_gamma(n - k + 1.0);
                ways + k * probability.ln() + (n - k) * (-probability).ln_1p()
            }
            Self::Poisson { mean } => k * mean.ln() - mean - ln_gamma(k + 1.0),
        }
    }

    /// The numbers that may be, each with its probability.
    fn numbers(self) -> Vec<(u32, f64)> {
        let (mean, variance) = self.moments();
        // Beyond it Poisson's law, the wider one, has nothing left: its tail falls faster than this.
        let highest = (mean + 12.0 * variance.sqrt() + 30.0).ceil() as u32;
        let highest = match self {
            Self::Trials { count, .. } => count.min(highest),
            Self::Poisson { .. } => highest,
        };
        let numbers = (0..=highest).map(|number| (number, self.ln_probability(number).exp()));
        numbers.filter(|(_, probability)| *probability > NIL).collect()
    }
}

impl Chance {
    /// What equality, order and hash look at, beside the number of trials.
    fn key(&self) -> (u64, u64, Option<Kernel>, u32, u8, u64) {
        let (kind, bits) = match self.often {
            Often::Trials { probability, .. } => (0, probability.to_bits()),
            // Two Poisson numbers of the same losses are one of the sum of their means.
            Often::Poisson { .. } => (1, 0),
        };
        let each = &self.each;
        (each.constant.to_bits(), each.variance.to_bits(), each.kernel, self.times, kind, bits)
    }

    /// In what two chances of one key may differ.
    fn amount(&self) -> u64 {
        match self.often {
            Often::Trials { count, .. } => u64::from(count),
            Often::Poisson { mean } => mean.to_bits(),
        }
    }

    /// Mean and variance of the losses together.
    pub(super) fn moments(&self) -> (f64, f64) {
        let (mean, variance) = self.often.moments();
        let times = f64::from(self.times);
        let kernel = |read: fn(&Kernel) -> f64| self.each.kernel.as_ref().map_or(0.0, read);
        let one = times * (self.each.constant + kernel(Kernel::mean));
        let spread = times * (self.each.variance + kernel(Kernel::variance));
        (mean * one, mean * spread + variance * one * one)
    }

    /// Adds to a list that is sorted by key, each key once.
    pub(super) fn add_to(self, list: &mut Vec<Self>) {
        match list.binary_search_by(|held| held.key().cmp(&self.key())) {
            Ok(at) => match (&mut list[at].often, self.often) {
                (Often::Trials { count, .. }, Often::Trials { count: more, .. }) => {
                    *count = count.saturating_add(more);
                }
                (Often::Poisson { mean }, Often::Poisson { mean: more }) => *mean += more,
                _ => list.insert(at, self),
            },
            Err(at) => list.insert(at, self),
        }
    }
}

impl PartialEq for Chance {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Chance {}

impl PartialOrd for Chance {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Chance {
    fn cmp(&self, other: &Self) -> Ordering {
        self.key().cmp(&other.key()).then(self.amount().cmp(&other.amount()))
    }
}

impl Hash for Chance {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.key().hash(state);
        state.write_u64(self.amount());
    }
}

/// A sum, given how often each chance came.
pub(super) struct Case {
    pub(super) probability: f64,
    /// Without chances, and without what is certain of the constant part.
    pub(super) sum: LossSum,
}

/// The cases of a sum, and the probability of those left out.
pub(super) fn cases(sum: &LossSum) -> (Vec<Case>, f64) {
    let certain = LossSum {
        constant: 0.0,
        variance: sum.variance,
        kernels: sum.kernels.clone(),
        chances: Vec::new(),
    };
    let mut cases = vec![Case { probability: 1.0, sum: certain }];
    for chance in &sum.chances {
        let numbers = chance.often.numbers();
        let each = Shape(chance.each);
        let mut next = Vec::with_capacity(cases.len() * numbers.len());
        for case in &cases {
            for (number, share) in &numbers {
                let probability = case.probability * share;
                if probability > NIL {
                    let mut sum = case.sum.clone();
                    sum.add_times(&each, number.saturating_mul(chance.times));
                    next.push(Case { probability, sum });
                }
            }
        }
        next.sort_by(|a, b| b.probability.total_cmp(&a.probability));
        next.truncate(MOST_CASES);
        cases = next;
    }
    let total: f64 = cases.iter().map(|case| case.probability).sum();
    cases.iter_mut().for_each(|case| case.probability /= total);
    (cases, (1.0 - total).max(0.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Decibels;
    use approx::assert_relative_eq;

    #[test]
    fn numbers_have_their_known_probabilities() {
        // Binomial(4, 0.25) and Poisson(0.852), by hand: 4 0.25^3 0.75 and 0.852^2/2 exp(-0.852).
        let trials = Often::Trials { count: 4, probability: 0.25 }.numbers();
        assert_eq!(trials.len(), 5);
        assert_relative_eq!(trials[3].1, 4.0 * 0.25_f64.powi(3) * 0.75, max_relative = 1e-12);
        let cuts = Often::Poisson { mean: 0.852 }.numbers();
        assert_relative_eq!(
            cuts[2].1,
            0.852_f64.powi(2) / 2.0 * (-0.852_f64).exp(),
            max_relative = 1e-12
        );
        for numbers in [trials, cuts, Often::Poisson { mean: 100.0 }.numbers()] {
            let total: f64 = numbers.iter().map(|(_, probability)| probability).sum();
            assert_relative_eq!(total, 1.0, max_relative = 1e-11);
        }
    }

    #[test]
    fn chances_of_the_same_losses_join() {
        let each = Shape::fixed(Decibels::new(1.0)).unwrap().0;
        let trials =
            |count, probability| Chance { often: Often::Trials { count, probability }, times: 1, each };
        let poisson = |mean| Chance { often: Often::Poisson { mean }, times: 2, each };
        let mut list = Vec::new();
        for chance in [trials(2, 0.03), poisson(0.5), trials(1, 0.05), trials(4, 0.03), poisson(0.25)] {
            chance.add_to(&mut list);
        }
        let mut expected = vec![trials(6, 0.03), trials(1, 0.05), poisson(0.75)];
        expected.sort();
        assert_eq!(list, expected);
    }
}
