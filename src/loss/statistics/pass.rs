//! The pass from the ends of a [`YieldTree`] to its root.

use super::cache::Convolver;
use super::clamped;
use super::distribution::{LossDistribution, SAME};
use super::group::Groups;
use super::sum::LossSum;
use super::tree::{JointYield, Window, YieldTree};
use super::wave::{Limits, Wave};
use std::ops::Range;

/// Sum of the single ends' failures below which it is a sharp enough bound on the joint failure.
const CERTAIN: f64 = 1e-7;
/// Error that is not worth a finer lattice.
const ENOUGH: f64 = 1e-7;
/// How often the lattice step may be halved.
const HALVINGS: i32 = 9;
/// Steps in the standard deviation of the segment of an end, at first.
const STEPS_IN_END: f64 = 4.0;
/// Most steps in what a segment may lose.
const MOST_STEPS: f64 = 100_000.0;
/// Points beside those that a loss can take.
const BESIDES: i64 = 8;
/// A standard deviation that is no spread, dB.
const NO_SPREAD: f64 = 1e-5;
/// Probability outside the limits of a branch.
const LEFT_OUT: f64 = 1e-13;

pub(super) struct Pass<'a> {
    tree: &'a YieldTree,
    convolver: &'a Convolver,
    /// Constant loss from the root to each branch.
    constants: Vec<f64>,
    /// Law of each branch's segment; `None` without spread.
    segments: Vec<Option<LossDistribution>>,
}

/// Ends of a fork that are alike.
struct Ends {
    law: LossDistribution,
    window: Window,
    count: u32,
}

/// What is known of the ends one by one.
struct Failures {
    /// Sum of the probabilities that they fail.
    expected: f64,
    /// The least probability that one closes, and the bound on its error.
    surest: (f64, f64),
}

/// A joint probability with its bounds.
struct Found {
    probability: f64,
    error: f64,
    coarse: f64,
}

/// What is known of the probability that all beyond a point closes.
struct Bounded {
    wave: Wave,
    /// The limits of ends without spread, a factor apart from the wave: a step is no matter for a
    /// lattice.
    limits: Option<Limits>,
    /// Bound on the error by the laws read.
    error: f64,
    /// Bound on the error by the lattice step.
    coarse: f64,
}

impl<'a> Pass<'a> {
    pub(super) fn new(tree: &'a YieldTree, convolver: &'a Convolver) -> Self {
        let mut constants = vec![0.0; tree.branches.len()];
        let mut segments = vec![None; tree.branches.len()];
        for (at, branch) in tree.branches.iter().enumerate().skip(1) {
            let sum = &branch.segment;
            let law = convolver.distribution(sum);
            let steady = law.spread < NO_SPREAD;
            constants[at] = constants[branch.parent] + if steady { law.mean } else { law.constant };
            segments[at] = (!steady).then_some(law);
        }
        Self { tree, convolver, constants, segments }
    }

    pub(super) fn run(&self) -> JointYield {
        let left_out = LEFT_OUT * (self.tree.branches.len() + self.tree.ends.len()) as f64;
        let Failures { expected: expected_failures, surest } = self.failures();
        let result = |probability: f64, error: f64| JointYield {
            probability: clamped(probability),
            error_bound: error + left_out,
            expected_failures,
        };
        if expected_failures < CERTAIN {
            // At least the greatest of the single failures, at most their sum.
            return result(1.0 - expected_failures, expected_failures);
        }
        if surest.0 < CERTAIN {
            // All together close no oftener than the one that closes least often.
            return result(0.0, surest.0 + surest.1);
        }
        let groups = Groups::of(self.tree);
        let ends = self.laws(&groups);
        let mut step = self.first_step(&groups, &ends);
        let mut found = self.at_step(&groups, &ends, step);
        for _ in 0..HALVINGS {
            if found.coarse < ENOUGH {
                break;
            }
            step *= 0.5;
            found = self.at_step(&groups, &ends, step);
        }
        result(found.probability, found.error + found.coarse)
    }

    /// The failures of the single ends, each by the law of its whole path.
    fn failures(&self) -> Failures {
        let mut paths: Vec<LossSum> = vec![LossSum::new(); self.tree.branches.len()];
        for (at, branch) in self.tree.branches.iter().enumerate().skip(1) {
            let mut path = paths[branch.parent].clone();
            path.merge(&branch.segment);
            paths[at] = path;
        }
        let mut path = LossSum::new();
        let mut all = Failures { expected: 0.0, surest: (1.0, 0.0) };
        for end in &self.tree.ends {
            path.clone_from(&paths[end.parent]);
            path.merge(&end.segment);
            let law = self.convolver.distribution(&path);
            let (least, most) = end.window.limits();
            all.expected += law.exceeds(most) + law.falls_below(least);
            let closes = law.within(least, most);
            if closes < all.surest.0 {
                all.surest = (closes, law.probability_error());
            }
        }
        all
    }

    fn laws(&self, groups: &Groups) -> Vec<Vec<Ends>> {
        let law = |&(end, count): &(usize, u32)| {
            let end = &self.tree.ends[end];
            Ends { law: self.convolver.distribution(&end.segment), window: end.window, count }
        };
        let of_branch = |(members, needed): (&Vec<(usize, u32)>, &bool)| {
            if *needed { members.iter().map(law).collect() } else { Vec::new() }
        };
        groups.ends.iter().zip(&groups.needed).map(of_branch).collect()
    }

    fn first_step(&self, groups: &Groups, ends: &[Vec<Ends>]) -> f64 {
        let mut step = 1.0_f64;
        let mut widest = 0.0_f64;
        for (at, branch) in self.tree.branches.iter().enumerate() {
            let (true, Some(law)) = (groups.needed[at], &self.segments[at]) else { continue };
            step = step.min(self.convolver.widest_step(&branch.segment));
            let (low, high) = law.random_limits();
            widest = widest.max(high - low);
        }
        let spreads =
            ends.iter().flatten().map(|end| end.law.spread).filter(|spread| *spread >= NO_SPREAD);
        step = spreads.map(|spread| spread / STEPS_IN_END).fold(step, f64::min);
        step.max(widest / MOST_STEPS * f64::from(HALVINGS).exp2())
    }

    /// The joint probability on a lattice of this step.
    fn at_step(&self, groups: &Groups, ends: &[Vec<Ends>], step: f64) -> Found {
        let ranges = self.ranges(step);
        let mut waves: Vec<Option<Bounded>> = Vec::new();
        waves.resize_with(self.tree.branches.len(), || None);
        for at in (1..self.tree.branches.len()).rev().filter(|at| groups.needed[*at]) {
            let fork = self.fork(at, groups, &mut waves, &ends[at], step, &ranges[at]);
            waves[at] = Some(self.before(at, fork, step, &ranges[self.tree.branches[at].parent]));
        }
        let root = self.fork(0, groups, &mut waves, &ends[0], step, &ranges[0]);
        let closes = root.limits.is_none_or(|(least, most)| least <= SAME && -SAME <= most);
        Found {
            probability: if closes { root.wave.at(0) } else { 0.0 },
            error: root.error,
            coarse: root.coarse,
        }
    }

    /// For each branch, the lattice points that the random loss up to it can take, and some besides so
    /// that differences can be taken at all of them.
    fn ranges(&self, step: f64) -> Vec<Range<i64>> {
        let mut ranges: Vec<Range<i64>> = vec![0..1; self.tree.branches.len()];
        for (at, branch) in self.tree.branches.iter().enumerate().skip(1) {
            let before = ranges[branch.parent].clone();
            ranges[at] = match &self.segments[at] {
                None => before,
                Some(law) => {
                    let (low, high) = law.random_limits();
                    let (low, high) = ((low / step).floor() as i64, (high / step).ceil() as i64);
                    before.start + low - BESIDES..before.end + high + BESIDES
                }
            };
        }
        ranges
    }

    /// Probability that all beyond a fork closes, by the random loss accumulated up to it.
    fn fork(
        &self,
        at: usize,
        groups: &Groups,
        waves: &mut [Option<Bounded>],
        ends: &[Ends],
        step: f64,
        range: &Range<i64>,
    ) -> Bounded {
        let mut all = Bounded { wave: Wave::constant(1.0), limits: None, error: 0.0, coarse: 0.0 };
        let mut factors = Vec::with_capacity(groups.branches[at].len() + ends.len());
        for &(child, count) in &groups.branches[at] {
            let Some(child) = waves[child].take() else { continue };
            all.error += f64::from(count) * child.error;
            all.coarse += f64::from(count) * child.coarse;
            all.limits = tighter(all.limits, child.limits);
            factors.push((child.wave, count));
        }
        for end in ends {
            let (least, most) = end.window.limits();
            if end.law.spread < NO_SPREAD {
                let limits = (least - end.law.mean, most - end.law.mean);
                all.limits = tighter(all.limits, Some(limits));
                continue;
            }
            let wave = Wave::of_law(&end.law, (least, most), self.constants[at], step, range);
            if !wave.values.is_empty() {
                all.error += f64::from(end.count) * end.law.probability_error();
            }
            factors.push((wave, end.count));
        }
        all.wave = Wave::product(&factors);
        all
    }

    /// The same by the loss accumulated before the segment that leads to the fork.
    fn before(&self, at: usize, fork: Bounded, step: f64, range: &Range<i64>) -> Bounded {
        let origin = self.constants[self.tree.branches[at].parent];
        let Some(law) = &self.segments[at] else {
            let constant = self.constants[at] - origin;
            return Bounded {
                limits: fork.limits.map(|(least, most)| (least - constant, most - constant)),
                ..fork
            };
        };
        if !fork.wave.is_constant() {
            return self.averaged(at, law, fork, step, range);
        }
        let Some(limits) = fork.limits else { return fork };
        let wave = Wave::product(&[(Wave::of_law(law, limits, origin, step, range), 1), (fork.wave, 1)]);
        Bounded { wave, limits: None, error: fork.error + law.probability_error(), ..fork }
    }

    /// The expectation over a segment's loss of what lies beyond it.
    fn averaged(
        &self,
        at: usize,
        law: &LossDistribution,
        fork: Bounded,
        step: f64,
        range: &Range<i64>,
    ) -> Bounded {
        let plans = self.convolver.plans();
        let (masses, errors) = self.convolver.masses(&self.tree.branches[at].segment, law, step);
        let reach = range.start + masses.first..range.end + masses.first + masses.values.len() as i64;
        let rough = fork.wave.roughness(&reach).before(&masses, range, plans).largest();
        let (by_law, by_step) = errors.least(&|order| fork.wave.variation(order, &reach));
        let mut result = Bounded {
            wave: Wave::constant(0.0),
            limits: None,
            error: fork.error + by_law,
            coarse: fork.coarse + rough + by_step,
        };
        let Some(limits) = fork.limits else {
            result.wave = fork.wave.before(&masses, range, plans);
            return result;
        };
        // A limit is spread over its cell, which adds a twelfth of a step squared to the variance; what
        // that does is counted twice.
        let wide = range.start - 1..range.end + 1;
        let limits =
            Wave::of_limits(limits, self.constants[at], step, &(reach.start - 1..reach.end + 1));
        result.wave = Wave::product(&[(fork.wave, 1), (limits, 1)]).before(&masses, &wide, plans);
        result.coarse += result.wave.curvature(range) / 12.0;
        result
    }
}

/// What two pairs of limits leave.
fn tighter(a: Option<Limits>, b: Option<Limits>) -> Option<Limits> {
    match (a, b) {
        (Some(a), Some(b)) => Some((a.0.max(b.0), a.1.min(b.1))),
        (a, b) => a.or(b),
    }
}
