//! [`Sampler`]: the same figures by drawing, to check the computed ones with.

use super::chance::{Chance, Often};
use super::distribution::SAME;
use super::kernel::Kernel;
use super::sum::LossSum;
use super::tree::{Window, YieldTree};
use super::{clamped, inner};
use crate::units::{Decibels, Probability};
use rand::{Rng, SeedableRng};
use rand_distr::{
    Binomial, Distribution, Exp1, Gamma, LogNormal, OpenClosed01, Poisson, StandardNormal, Weibull,
};
use rand_pcg::Pcg64;
use rayon::prelude::*;

/// Trials drawn from one stream of random numbers.
const BLOCK: u32 = 4096;

/// Draws losses with a seed; the answer depends on the seed and the number of trials alone, not on
/// the number of threads.
///
/// It shares no code with [`Convolver`](super::Convolver) but the laws' parameters, and knows
/// nothing of lattices: what both say is checked twice.
#[derive(Clone, Copy, Debug)]
pub struct Sampler {
    seed: u64,
}

/// A probability found by drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// The share of trials.
    pub probability: Probability,
    /// Its standard error, a probability; above zero even when all trials agree (as if one more trial
    /// of each outcome had been seen).
    pub standard_error: f64,
    /// Number of trials.
    pub trials: u32,
}

/// A quantile found by drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct QuantileEstimate {
    /// The quantile of the trials.
    pub value: Decibels,
    /// With `high`, encloses the true quantile in 95 of 100 cases; the least trial where the trials
    /// are too few to tell.
    pub low: Decibels,
    /// See `low`; the greatest trial where the trials are too few to tell.
    pub high: Decibels,
}

impl Sampler {
    /// A sampler with this seed.
    pub fn new(seed: u64) -> Self {
        Self { seed }
    }

    /// Probability that all ends of a tree close together, from this many trials (at least 1).
    pub fn joint_yield(&self, tree: &YieldTree, trials: u32) -> Estimate {
        let trials = trials.max(1);
        let draws = TreeDraws::of(tree);
        let closed: u32 = self
            .blocks(trials)
            .map(|(mut random, count)| {
                let mut losses = vec![0.0; draws.branches.len()];
                (0..count).filter(|_| draws.closes(&mut random, &mut losses)).count() as u32
            })
            .sum();
        let (n, k) = (f64::from(trials), f64::from(closed));
        let near = (k + 1.0) / (n + 2.0);
        Estimate {
            probability: clamped(k / n),
            standard_error: (near * (1.0 - near) / n).sqrt(),
            trials,
        }
    }

    /// The loss not exceeded with probability `p`, from this many trials (at least 1).
    pub fn quantile(&self, sum: &LossSum, p: Probability, trials: u32) -> QuantileEstimate {
        let trials = trials.max(1);
        let draws = Draws::of(sum);
        let mut losses: Vec<f64> = self
            .blocks(trials)
            .flat_map_iter(|(mut random, count)| {
                let draws = &draws;
                (0..count).map(move |_| draws.draw(&mut random))
            })
            .collect();
        losses.sort_unstable_by(f64::total_cmp);
        let (n, p) = (f64::from(trials), inner(p));
        let at = |rank: f64| Decibels::new(losses[(rank.max(0.0) as usize).min(losses.len() - 1)]);
        let around = 1.96 * (n * p * (1.0 - p)).sqrt();
        QuantileEstimate {
            value: at((n * p).ceil() - 1.0),
            low: at((n * p - around).floor() - 1.0),
            high: at((n * p + around).ceil()),
        }
    }

    /// A stream of random numbers for each block of trials, and the block's size.
    fn blocks(self, trials: u32) -> impl ParallelIterator<Item = (Pcg64, u32)> {
        (0..trials.div_ceil(BLOCK)).into_par_iter().map(move |block| {
            let stream = Pcg64::seed_from_u64(mixed(mixed(self.seed).wrapping_add(u64::from(block))));
            (stream, BLOCK.min(trials - block * BLOCK))
        })
    }
}

/// A bijection of 64-bit numbers that leaves no pattern (the finalizer of `SplitMix64`).
fn mixed(number: u64) -> u64 {
    let mut mixed = number.wrapping_add(0x9e37_79b9_7f4a_7c15);
    mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    mixed ^ (mixed >> 31)
}

/// A sum prepared for drawing.
struct Draws {
    constant: f64,
    spread: f64,
    elements: Vec<(Draw, u32)>,
    chances: Vec<ChanceDraw>,
}

/// Losses of a random number.
struct ChanceDraw {
    number: NumberDraw,
    times: u32,
    constant: f64,
    spread: f64,
    each: Option<Draw>,
}

enum NumberDraw {
    Trials(Binomial),
    Poisson(Poisson<f64>),
}

impl ChanceDraw {
    fn of(chance: &Chance) -> Self {
        let checked = "a chance has a probability between 0 and 1, or a mean above zero";
        let number = match chance.often {
            Often::Trials { count, probability } => {
                NumberDraw::Trials(Binomial::new(u64::from(count), probability).expect(checked))
            }
            Often::Poisson { mean } => NumberDraw::Poisson(Poisson::new(mean).expect(checked)),
        };
        Self {
            number,
            times: chance.times,
            constant: chance.each.constant,
            spread: chance.each.variance.sqrt(),
            each: chance.each.kernel.as_ref().map(Draw::of),
        }
    }

    fn draw(&self, random: &mut Pcg64) -> f64 {
        let number = match &self.number {
            NumberDraw::Trials(law) => law.sample(random),
            NumberDraw::Poisson(law) => {
                let drawn: f64 = law.sample(random);
                drawn as u64
            }
        };
        let count = number * u64::from(self.times);
        let mut loss = count as f64 * self.constant;
        for _ in 0..count {
            if self.spread > 0.0 {
                loss += self.spread * normal(random);
            }
            loss += self.each.as_ref().map_or(0.0, |each| each.draw(random));
        }
        loss
    }
}

enum Draw {
    Uniform(f64),
    Exponential(f64),
    Gamma(Gamma<f64>),
    Weibull(Weibull<f64>),
    LogNormal(LogNormal<f64>),
    HalfNormal(f64),
    CutNormal { center: f64, sigma: f64 },
}

impl Draws {
    fn of(sum: &LossSum) -> Self {
        Self {
            constant: sum.constant,
            spread: sum.variance.sqrt(),
            elements: sum.kernels.iter().map(|(kernel, count)| (Draw::of(kernel), *count)).collect(),
            chances: sum.chances.iter().map(ChanceDraw::of).collect(),
        }
    }

    fn draw(&self, random: &mut Pcg64) -> f64 {
        let mut loss = self.constant;
        if self.spread > 0.0 {
            loss += self.spread * normal(random);
        }
        for (element, count) in &self.elements {
            for _ in 0..*count {
                loss += element.draw(random);
            }
        }
        loss + self.chances.iter().map(|chance| chance.draw(random)).sum::<f64>()
    }
}

impl Draw {
    fn of(kernel: &Kernel) -> Self {
        let checked = "a kernel's parameters are finite and above zero";
        match *kernel {
            Kernel::Uniform { width } => Self::Uniform(width),
            Kernel::Gamma { shape: 1.0, scale } => Self::Exponential(scale),
            Kernel::Gamma { shape, scale } => Self::Gamma(Gamma::new(shape, scale).expect(checked)),
            Kernel::Weibull { steepness, scale } => {
                Self::Weibull(Weibull::new(scale, steepness).expect(checked))
            }
            Kernel::LogNormal { location, spread } => {
                Self::LogNormal(LogNormal::new(location, spread).expect(checked))
            }
            Kernel::HalfNormal { sigma } => Self::HalfNormal(sigma),
            Kernel::CutNormal { center, sigma } => Self::CutNormal { center, sigma },
        }
    }

    fn draw(&self, random: &mut Pcg64) -> f64 {
        match self {
            Self::Uniform(width) => {
                let part: f64 = OpenClosed01.sample(random);
                width * part
            }
            Self::Exponential(scale) => {
                let unit: f64 = Exp1.sample(random);
                scale * unit
            }
            Self::Gamma(law) => law.sample(random),
            Self::Weibull(law) => law.sample(random),
            Self::LogNormal(law) => law.sample(random),
            Self::HalfNormal(sigma) => sigma * normal(random).abs(),
            Self::CutNormal { center, sigma } => center + sigma * normal_above(-center / sigma, random),
        }
    }
}

/// A standard normal variable above `cut`: drawn until it is, or, where that is rare, from an
/// exponential law of which so much is taken as the normal one has (rejection, Robert 1995).
fn normal_above(cut: f64, random: &mut impl Rng) -> f64 {
    if cut <= 0.0 {
        loop {
            let drawn = normal(random);
            if drawn >= cut {
                return drawn;
            }
        }
    }
    let rate = 0.5 * (cut + (cut * cut + 4.0).sqrt());
    loop {
        let step: f64 = Exp1.sample(random);
        let drawn = cut + step / rate;
        let taken: f64 = OpenClosed01.sample(random);
        if taken <= (-0.5 * (drawn - rate).powi(2)).exp() {
            return drawn;
        }
    }
}

fn normal(random: &mut impl Rng) -> f64 {
    StandardNormal.sample(random)
}

/// A tree prepared for drawing.
struct TreeDraws {
    /// Parent and segment of each branch, the root first.
    branches: Vec<(usize, Draws)>,
    ends: Vec<(usize, Draws, Window)>,
}

impl TreeDraws {
    fn of(tree: &YieldTree) -> Self {
        Self {
            branches: tree
                .branches
                .iter()
                .map(|branch| (branch.parent, Draws::of(&branch.segment)))
                .collect(),
            ends: tree
                .ends
                .iter()
                .map(|end| (end.parent, Draws::of(&end.segment), end.window))
                .collect(),
        }
    }

    /// One trial: whether all ends close.
    fn closes(&self, random: &mut Pcg64, losses: &mut [f64]) -> bool {
        for (at, (parent, segment)) in self.branches.iter().enumerate().skip(1) {
            losses[at] = losses[*parent] + segment.draw(random);
        }
        self.ends.iter().all(|(parent, segment, window)| {
            let loss = losses[*parent] + segment.draw(random);
            let (least, most) = window.limits();
            least - SAME <= loss && loss <= most + SAME
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::loss::statistics::{MeanNumber, Shape};
    use approx::assert_abs_diff_eq;

    fn db(value: f64) -> Decibels {
        Decibels::new(value)
    }

    fn p(value: f64) -> Probability {
        Probability::new(value).unwrap()
    }

    fn sum() -> LossSum {
        let mut sum: LossSum = [
            Shape::normal(db(0.3), db(0.05)).unwrap(),
            Shape::uniform(db(0.1), db(0.6)).unwrap(),
            Shape::exponential(db(0.0), db(0.1)).unwrap(),
            Shape::gamma(db(0.1), db(0.4), db(0.2)).unwrap(),
            Shape::weibull_with(db(0.0), db(0.2), db(0.1)).unwrap(),
            Shape::log_normal(db(0.0), db(0.2), db(0.1)).unwrap(),
            Shape::half_normal(db(0.0), db(0.1)).unwrap(),
            Shape::cut_normal(db(0.0), db(0.05), db(0.1)).unwrap(),
            Shape::cut_normal(db(0.0), db(-0.1), db(0.1)).unwrap(),
        ]
        .into_iter()
        .collect();
        let each = Shape::gamma(db(0.1), db(0.2), db(0.1)).unwrap();
        sum.add_in_share(p(0.2), &Shape::fixed(db(1.0)).unwrap(), 3);
        sum.add_in_share(p(0.3), &Shape::normal(db(0.3), db(0.1)).unwrap(), 2);
        sum.add_poisson(MeanNumber::new(0.8).unwrap(), 2, &each);
        sum
    }

    #[test]
    fn draws_have_the_mean_and_spread_of_the_sum() {
        let draws = Draws::of(&sum());
        let mut random = Pcg64::seed_from_u64(7);
        let trials = 200_000;
        let (mut first, mut second) = (0.0, 0.0);
        for _ in 0..trials {
            let loss = draws.draw(&mut random);
            first += loss;
            second += loss * loss;
        }
        let mean = first / f64::from(trials);
        let spread = (second / f64::from(trials) - mean * mean).sqrt();
        let expected = sum().spread().value();
        assert_abs_diff_eq!(
            mean,
            sum().mean().value(),
            epsilon = 4.0 * expected / f64::from(trials).sqrt()
        );
        assert_abs_diff_eq!(spread, expected, epsilon = 0.02 * expected);
    }

    #[test]
    fn threads_do_not_change_the_answer() {
        let run = |threads: usize| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
            pool.install(|| Sampler::new(11).quantile(&sum(), Probability::new(0.97).unwrap(), 30_000))
        };
        assert_eq!(run(1), run(3));
        assert_ne!(
            run(1).value,
            Sampler::new(12).quantile(&sum(), Probability::new(0.97).unwrap(), 30_000).value
        );
    }
}
