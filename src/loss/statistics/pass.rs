//! The pass from the ends of a [`YieldTree`] to its root.

use super::cache::Convolver;
use super::distribution::{LossDistribution, SAME};
use super::group::Groups;
use super::sum::LossSum;
use super::tree::{Window, YieldTree};
use super::wave::Wave;
use std::ops::Range;

/// Sum of the single ends' failures below which it is a sharp enough bound on the joint failure.
const CERTAIN: f64 = 1e-7;
/// Branches up to which the failures of single ends are summed before the pass.
const FEW: usize = 64;
/// Error by a coarse lattice that is not worth a finer one.
const ENOUGH: f64 = 1e-7;
/// How often the lattice step may be halved.
const HALVINGS: i32 = 9;
/// Steps in the standard deviation of the segment of an end, at first.
const STEPS_IN_END: f64 = 4.0;
/// Most steps in what a segment may lose.
const MOST_STEPS: f64 = 100_000.0;
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

/// What leaves a fork, the alike ends together.
struct Ends {
    law: LossDistribution,
    window: Window,
    count: u32,
}

/// A wave, a bound on the error of its values by the laws read, and one by the lattice step.
struct Bounded {
    wave: Wave,
    error: f64,
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

    /// The joint probability and a bound on its error.
    pub(super) fn run(&self) -> (f64, f64) {
        let left_out = LEFT_OUT * self.tree.branches.len() as f64;
        for failures in [Self::failures_at_limits, Self::failures_of_paths] {
            let failures = failures(self) + left_out;
            if failures < CERTAIN {
                return (1.0 - failures, failures);
            }
        }
        let groups = Groups::of(self.tree);
        let ends = self.laws(&groups);
        let mut step = self.first_step(&groups, &ends);
        let mut result = self.at_step(&groups, &ends, step);
        for _ in 0..HALVINGS {
            if result.coarse < ENOUGH {
                break;
            }
            step *= 0.5;
            result = self.at_step(&groups, &ends, step);
        }
        (result.wave.at(0), result.error + result.coarse + left_out)
    }

    /// Sum of the failures of the single ends if every branch met the limits of its loss: not less
    /// than the true sum.
    fn failures_at_limits(&self) -> f64 {
        let mut reach = vec![(0.0, 0.0); self.tree.branches.len()];
        for (at, branch) in self.tree.branches.iter().enumerate().skip(1) {
            let (low, high) = self.segments[at].as_ref().map_or((-SAME, SAME), LossDistribution::random_limits);
            let before: (f64, f64) = reach[branch.parent];
            let constant = self.constants[at] - self.constants[branch.parent];
            reach[at] = (before.0 + constant + low, before.1 + constant + high);
        }
        let mut total = 0.0;
        for end in &self.tree.ends {
            let law = self.convolver.distribution(&end.segment);
            let (least, most) = end.window.limits();
            let (low, high) = reach[end.parent];
            total += law.exceeds(most - high) + law.falls_below(least - low);
            if total > CERTAIN {
                break;
            }
        }
        total
    }

    /// Sum of the failures of the single ends, each by the law of its whole path.
    fn failures_of_paths(&self) -> f64 {
        if self.tree.branches.len() > FEW {
            return 1.0;
        }
        let mut paths: Vec<LossSum> = vec![LossSum::new(); self.tree.branches.len()];
        for (at, branch) in self.tree.branches.iter().enumerate().skip(1) {
            let mut path = paths[branch.parent].clone();
            path.merge(&branch.segment);
            paths[at] = path;
        }
        let mut total = 0.0;
        for end in &self.tree.ends {
            let mut path = paths[end.parent].clone();
            path.merge(&end.segment);
            let law = self.convolver.distribution(&path);
            let (least, most) = end.window.limits();
            total += law.exceeds(most) + law.falls_below(least);
            if total > CERTAIN {
                break;
            }
        }
        total
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
        let spreads = ends.iter().flatten().map(|end| end.law.spread).filter(|spread| *spread >= NO_SPREAD);
        step = spreads.map(|spread| spread / STEPS_IN_END).fold(step, f64::min);
        step.max(widest / MOST_STEPS * f64::from(HALVINGS).exp2())
    }

    /// The joint probability on a lattice of this step: the wave's value at no loss.
    fn at_step(&self, groups: &Groups, ends: &[Vec<Ends>], step: f64) -> Bounded {
        let ranges = self.ranges(step);
        let mut waves: Vec<Option<Bounded>> = Vec::new();
        waves.resize_with(self.tree.branches.len(), || None);
        for at in (1..self.tree.branches.len()).rev().filter(|at| groups.needed[*at]) {
            let fork = self.fork(at, groups, &mut waves, &ends[at], step, &ranges[at]);
            waves[at] = Some(self.before(at, fork, step, &ranges[self.tree.branches[at].parent]));
        }
        self.fork(0, groups, &mut waves, &ends[0], step, &ranges[0])
    }

    /// For each branch, the lattice points that the random loss up to it can take.
    fn ranges(&self, step: f64) -> Vec<Range<i64>> {
        let mut ranges: Vec<Range<i64>> = vec![0..1; self.tree.branches.len()];
        for (at, branch) in self.tree.branches.iter().enumerate().skip(1) {
            let before = ranges[branch.parent].clone();
            ranges[at] = match &self.segments[at] {
                None => before,
                Some(law) => {
                    let (low, high) = law.random_limits();
                    before.start + (low / step).floor() as i64..before.end + (high / step).ceil() as i64
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
        let (mut error, mut coarse) = (0.0, 0.0);
        let mut factors = Vec::with_capacity(groups.branches[at].len() + ends.len());
        for &(child, count) in &groups.branches[at] {
            let Some(child) = waves[child].take() else { continue };
            error += f64::from(count) * child.error;
            coarse += f64::from(count) * child.coarse;
            factors.push((child.wave, count));
        }
        let constant = self.constants[at];
        for end in ends.iter().filter(|end| end.law.spread >= NO_SPREAD) {
            let wave = Wave::of_end(&end.law, end.window, constant, step, range);
            if !wave.values.is_empty() {
                error += f64::from(end.count) * end.law.probability_error();
            }
            factors.push((wave, end.count));
        }
        if let Some((least, most)) = common_limits(ends) {
            factors.push((Wave::of_limits(least, most, constant, step, range), 1));
        }
        Bounded { wave: Wave::product(&factors), error, coarse }
    }

    /// The same by the loss accumulated before the segment that leads to the fork.
    fn before(&self, at: usize, fork: Bounded, step: f64, range: &Range<i64>) -> Bounded {
        let (Some(law), false) = (&self.segments[at], fork.wave.is_constant()) else { return fork };
        let (masses, error) = self.convolver.masses(&self.tree.branches[at].segment, law, step);
        let plans = self.convolver.plans();
        let rough = fork.wave.roughness().before(&masses, range, plans);
        Bounded {
            wave: fork.wave.before(&masses, range, plans),
            error: fork.error + error * fork.wave.variation(),
            coarse: fork.coarse + rough.largest(),
        }
    }
}

/// The limits that the losses accumulated up to a fork must keep for all ends without spread.
fn common_limits(ends: &[Ends]) -> Option<(f64, f64)> {
    ends.iter()
        .filter(|end| end.law.spread < NO_SPREAD)
        .map(|end| {
            let (least, most) = end.window.limits();
            (least - end.law.mean - SAME, most - end.law.mean + SAME)
        })
        .reduce(|a, b| (a.0.max(b.0), a.1.min(b.1)))
}
