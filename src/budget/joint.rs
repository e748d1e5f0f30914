//! Joint yields: the tree of one PON as the statistics see it.

use super::assess::Context;
use super::group::{CrossCheck, Group, JointYields};
use super::statistics::{PathLoss, Randomness};
use super::walk::{Beam, Onu};
use super::{Direction, End, Pair};
use crate::loss::AtWavelength;
use crate::loss::statistics::{BranchId, LossSum, Sampler, Window, YieldTree};
use crate::plant::Trace;
use crate::units::{Decibels, Probability};

/// The random losses of one PON at one wavelength.
struct Losses {
    /// What lies between each visit and its parent.
    steps: Vec<LossSum>,
    /// What the allowances add for each ONU.
    allowances: Vec<LossSum>,
    /// The whole path to each ONU.
    paths: Vec<PathLoss>,
}

/// Fills in the statistics of every end of a PON and its joint yields.
pub(super) fn judge_pon(
    context: &Context<'_>,
    randomness: &mut Randomness<'_>,
    beam: &Beam<'_>,
    onus: &[Onu],
    ends: &mut [End],
    group: &mut Group,
) {
    let down = losses(randomness, beam.at, beam.trace, onus);
    fill(context, randomness, &down, ends, Direction::Downstream);
    let Some(up_at) = common_upstream(context, onus) else {
        fill_apart(context, randomness, beam, onus, ends);
        return;
    };
    let up = losses(randomness, up_at, beam.trace, onus);
    fill(context, randomness, &up, ends, Direction::Upstream);
    group.joint = near_certain(context, randomness, ends, &down, &up);
    if group.joint.is_some() && context.settings.cross_check.is_none() {
        return;
    }
    let Some(trees) = Trees::of(context, beam.trace, onus, ends, &down, &up) else { return };
    group.joint = Some(trees.yields(randomness));
    group.cross_check = context.settings.cross_check.map(|(trials, seed)| trees.sampled(trials, seed));
}

/// Failures that are so improbable together that no tree is needed to say so.
const NEGLIGIBLE: f64 = 1e-9;

/// The joint yields of a PON whose ends hardly ever fail: whatever their dependence, the probability
/// that any fails is at most the sum of theirs. `None` when that sum is not negligible, or a yield is
/// not known.
fn near_certain(
    context: &Context<'_>,
    randomness: &Randomness<'_>,
    ends: &[End],
    down: &Losses,
    up: &Losses,
) -> Option<JointYields> {
    let fails = |direction: Direction| {
        of_direction(ends, direction)
            .map(|end| end.statistics?.closes.map(|closes| closes.complement().value()))
            .sum::<Option<f64>>()
            .filter(|sum| *sum < NEGLIGIBLE)
    };
    let (down_fails, up_fails) = (fails(Direction::Downstream)?, fails(Direction::Upstream)?);
    let reserve = context.plan.assumptions.reserve;
    let mut with_reserve = None;
    if reserve > Decibels::ZERO {
        let fails = |direction: Direction, losses: &Losses| {
            of_direction(ends, direction)
                .zip(&losses.paths)
                .map(|(end, path)| {
                    let most = context.pairs.pairs[end.pair as usize].window.max? - reserve;
                    let law = randomness.convolver.distribution(&path.total);
                    Some(law.probability_within(None, Some(most)).complement().value())
                })
                .sum::<Option<f64>>()
        };
        let short = fails(Direction::Downstream, down)? + fails(Direction::Upstream, up)?;
        with_reserve = Some(Probability::clamped(1.0 - short - down_fails - up_fails));
        if short >= NEGLIGIBLE {
            return None;
        }
    }
    Some(JointYields {
        downstream: Probability::clamped(1.0 - down_fails),
        upstream: Probability::clamped(1.0 - up_fails),
        both: Probability::clamped(1.0 - down_fails - up_fails),
        with_reserve,
        error_bound: down_fails + up_fails,
        expected_failures: down_fails + up_fails,
    })
}

/// The upstream figures, if all ONUs send at one wavelength.
fn common_upstream<'c>(context: &'c Context<'_>, onus: &[Onu]) -> Option<&'c AtWavelength<'c>> {
    let wavelength = |onu: &Onu| onu.up.map(|pair| context.pairs.pairs[pair as usize].wavelength);
    let first = wavelength(onus.first()?)?;
    let same = onus.iter().all(|onu| wavelength(onu) == Some(first));
    same.then(|| &context.wavelengths[usize::from(first)])
}

fn losses(
    randomness: &mut Randomness<'_>,
    at: &AtWavelength<'_>,
    trace: &Trace,
    onus: &[Onu],
) -> Losses {
    let mut steps: Vec<LossSum> = Vec::with_capacity(trace.visits.len());
    let mut reached: Vec<LossSum> = Vec::with_capacity(trace.visits.len());
    for (index, visit) in trace.visits.iter().enumerate() {
        let mut step = LossSum::new();
        randomness.add_step(at, trace, index as u32, &mut step);
        let mut sum = reached.get(visit.parent as usize).cloned().unwrap_or_default();
        sum.merge(&step);
        steps.push(step);
        reached.push(sum);
    }
    let mut allowances = Vec::with_capacity(onus.len());
    let mut paths = Vec::with_capacity(onus.len());
    for onu in onus {
        let mut extra = LossSum::new();
        randomness.add_allowances(at, onu.outside, &mut extra);
        let mut total = reached[onu.visit as usize].clone();
        total.merge(&extra);
        paths.push(PathLoss { total, allowance: extra.mean() });
        allowances.push(extra);
    }
    Losses { steps, allowances, paths }
}

/// The ends of one direction, in the order of the ONUs.
fn of_direction(ends: &[End], direction: Direction) -> impl Iterator<Item = &End> {
    ends.iter().filter(move |end| end.direction == direction)
}

fn fill(
    context: &Context<'_>,
    randomness: &Randomness<'_>,
    losses: &Losses,
    ends: &mut [End],
    direction: Direction,
) {
    let these = ends.iter_mut().filter(|end| end.direction == direction);
    for (end, path) in these.zip(&losses.paths) {
        if end.missing.is_none() {
            let window = &context.pairs.pairs[end.pair as usize].window;
            end.statistics = Some(randomness.figures(path, window, context.plan));
        }
    }
}

/// Upstream statistics of ONUs with different wavelengths: each path for itself.
fn fill_apart(
    context: &Context<'_>,
    randomness: &mut Randomness<'_>,
    beam: &Beam<'_>,
    onus: &[Onu],
    ends: &mut [End],
) {
    let with_up = onus.iter().filter_map(|onu| onu.up.map(|pair| (onu, pair)));
    let upstream = ends.iter_mut().filter(|end| end.direction == Direction::Upstream);
    for (end, (onu, pair)) in upstream.zip(with_up) {
        let pair = &context.pairs.pairs[pair as usize];
        let at = &context.wavelengths[usize::from(pair.wavelength)];
        if end.missing.is_none() {
            let path = randomness.path(at, beam.trace, onu.visit, onu.outside);
            end.statistics = Some(randomness.figures(&path, &pair.window, context.plan));
        }
    }
}

/// The trees of both directions, and the one in which both must close.
struct Trees {
    down: YieldTree,
    up: YieldTree,
    both: YieldTree,
    /// The tree of both directions with the design reserve taken off every window.
    with_reserve: Option<YieldTree>,
    /// Each end's path and window in the tree of both directions.
    singles: Vec<(LossSum, Window)>,
}

impl Trees {
    /// `None` if any end's loss or window is not known: a joint yield of some of the ends would
    /// look better than the PON is.
    fn of(
        context: &Context<'_>,
        trace: &Trace,
        onus: &[Onu],
        ends: &[End],
        down: &Losses,
        up: &Losses,
    ) -> Option<Self> {
        let windows = |direction, losses: &Losses| -> Option<Vec<Window>> {
            of_direction(ends, direction)
                .zip(&losses.paths)
                .map(|(end, path)| {
                    let pair: &Pair = &context.pairs.pairs[end.pair as usize];
                    end.missing.is_none().then_some(())?;
                    let least = path.least_allowed(&pair.window);
                    Some(Window { least, most: Some(pair.window.max?) })
                })
                .collect()
        };
        let down_windows = windows(Direction::Downstream, down)?;
        let up_windows = windows(Direction::Upstream, up)?;
        let spread =
            |losses: &Losses| losses.paths.first().map_or(0.0, |path| path.total.spread().value());
        let (base, base_windows, other, other_windows) = if spread(up) >= spread(down) {
            (up, &up_windows, down, &down_windows)
        } else {
            (down, &down_windows, up, &up_windows)
        };
        let joint_windows = both_windows((base, base_windows), (other, other_windows));
        let reserve = context.plan.assumptions.reserve;
        let with_reserve = (reserve > Decibels::ZERO).then(|| {
            let kept: Vec<Window> = joint_windows
                .iter()
                .map(|window| Window { most: window.most.map(|most| most - reserve), ..*window })
                .collect();
            tree(trace, onus, base, &kept)
        });
        Some(Self {
            with_reserve,
            down: tree(trace, onus, down, &down_windows),
            up: tree(trace, onus, up, &up_windows),
            both: tree(trace, onus, base, &joint_windows),
            singles: base.paths.iter().map(|path| path.total.clone()).zip(joint_windows).collect(),
        })
    }

    fn yields(&self, randomness: &Randomness<'_>) -> JointYields {
        let [down, up, both] =
            [&self.down, &self.up, &self.both].map(|tree| randomness.convolver.joint_yield(tree));
        let errors = [down, up, both].map(|found| found.error_bound);
        let fails = |(path, window): &(LossSum, Window)| {
            let law = randomness.convolver.distribution(path);
            law.probability_within(window.least, window.most).complement().value()
        };
        JointYields {
            downstream: down.probability,
            upstream: up.probability,
            both: both.probability,
            with_reserve: self
                .with_reserve
                .as_ref()
                .map(|tree| randomness.convolver.joint_yield(tree).probability),
            error_bound: errors.into_iter().fold(0.0, f64::max),
            expected_failures: self.singles.iter().map(fails).sum(),
        }
    }

    fn sampled(&self, trials: u32, seed: u64) -> CrossCheck {
        let estimate = Sampler::new(seed).joint_yield(&self.both, trials);
        CrossCheck {
            estimate: estimate.probability,
            standard_error: estimate.standard_error,
            trials,
            seed,
        }
    }
}

/// The windows in which an end closes both ways, in terms of the loss at the base wavelength.
///
/// The losses of one element at two wavelengths are fully dependent. Joints and splitters lose the
/// same at both; a fiber's loss differs by its mean, and its spread at the base wavelength (the
/// greater one) is taken for both. So the other direction's window is the base direction's, shifted
/// by the difference of the mean losses.
fn both_windows(base: (&Losses, &[Window]), other: (&Losses, &[Window])) -> Vec<Window> {
    let paths = base.0.paths.iter().zip(&other.0.paths);
    let windows = base.1.iter().zip(other.1);
    paths
        .zip(windows)
        .map(|((base_path, other_path), (base_window, other_window))| {
            let shift = base_path.total.mean() - other_path.total.mean();
            let tighter =
                |a: Option<Decibels>, b: Option<Decibels>, pick: fn(Decibels, Decibels) -> Decibels| {
                    match (a, b.map(|b| b + shift)) {
                        (Some(a), Some(b)) => Some(pick(a, b)),
                        (a, b) => a.or(b),
                    }
                };
            Window {
                least: tighter(base_window.least, other_window.least, Decibels::max),
                most: tighter(base_window.most, other_window.most, Decibels::min),
            }
        })
        .collect()
}

/// The tree of a PON with chains of elements drawn together: only points where the way to several
/// ONUs parts are branches.
fn tree(trace: &Trace, onus: &[Onu], losses: &Losses, windows: &[Window]) -> YieldTree {
    let ways = ways(trace, onus);
    let mut tree = YieldTree::new();
    let mut open: Vec<(Option<BranchId>, LossSum)> = vec![Default::default(); trace.visits.len()];
    for index in 1..trace.visits.len() {
        if ways[index] == 0 {
            continue;
        }
        let (branch, mut segment) = open[trace.visits[index].parent as usize].clone();
        segment.merge(&losses.steps[index]);
        open[index] = if ways[index] > 1 {
            (Some(tree.add_branch(branch, segment)), LossSum::new())
        } else {
            (branch, segment)
        };
    }
    for ((onu, extra), window) in onus.iter().zip(&losses.allowances).zip(windows) {
        let (branch, mut segment) = open[onu.visit as usize].clone();
        segment.merge(extra);
        tree.add_end(branch, segment, *window);
    }
    tree
}

/// How many ways lead on from each visit towards an ONU: 0 = none, 1 = an ONU itself or one way.
fn ways(trace: &Trace, onus: &[Onu]) -> Vec<u32> {
    let mut ways = vec![0u32; trace.visits.len()];
    for onu in onus {
        let mut at = onu.visit;
        ways[at as usize] = ways[at as usize].max(1);
        let mut new = true;
        while at != 0 && new {
            at = trace.visits[at as usize].parent;
            new = ways[at as usize] == 0;
            ways[at as usize] += 1;
        }
    }
    ways
}
