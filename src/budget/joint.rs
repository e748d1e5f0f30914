//! Joint yields: the tree of one PON as the statistics see it.

use super::assess::Context;
use super::group::{CrossCheck, Group, JointYields};
use super::statistics::{PathLoss, Randomness, net};
use super::walk::{Beam, Onu};
use super::{Direction, End, Pair};
use crate::loss::AtWavelength;
use crate::loss::statistics::{BranchId, LossSum, Sampler, Window, YieldTree};
use crate::plant::Trace;
use crate::tables::Surplus;
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
            let pair = &context.pairs.pairs[end.pair as usize];
            end.statistics = Some(randomness.figures(path, pair, context.plan));
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
            end.statistics = Some(randomness.figures(&path, pair, context.plan));
        }
    }
}

/// What an end needs to close, in terms of the loss on its way.
///
/// Levels of the ONU that spread are each a limit of their own, which the ONU's own luck moves. The OLT
/// is taken at its worst here: what it has to spare it has for all ends together, in both directions
/// apart, which no tree can tell.
#[derive(Clone, Default)]
struct Needs {
    window: Window,
    /// Most loss, less what better specimens take off it.
    netted: Vec<(Surplus, Decibels)>,
}

impl Needs {
    /// Of one direction.
    fn of(pair: &Pair, direction: Direction, least: Option<Decibels>) -> Option<Self> {
        let most = pair.window.max?;
        let of_onu = if direction == Direction::Downstream { pair.surplus[1] } else { pair.surplus[0] };
        Some(match of_onu {
            None => Self { window: Window { least, most: Some(most) }, netted: Vec::new() },
            Some(surplus) => {
                Self { window: Window { least, most: None }, netted: vec![(surplus, most)] }
            }
        })
    }

    /// Of both directions, the other one in terms of the loss of this one.
    fn and(&self, other: &Self, shift: Decibels) -> Self {
        let tighter = |a: Option<Decibels>,
                       b: Option<Decibels>,
                       pick: fn(Decibels, Decibels) -> Decibels| {
            match (a, b.map(|b| b + shift)) {
                (Some(a), Some(b)) => Some(pick(a, b)),
                (a, b) => a.or(b),
            }
        };
        let window = Window {
            least: tighter(self.window.least, other.window.least, Decibels::max),
            most: tighter(self.window.most, other.window.most, Decibels::min),
        };
        let shifted = other.netted.iter().map(|(surplus, most)| (*surplus, *most + shift));
        Self { window, netted: self.netted.iter().copied().chain(shifted).collect() }
    }

    /// With a reserve kept.
    fn keeping(&self, reserve: Decibels) -> Self {
        let less = |most: Decibels| most - reserve;
        Self {
            window: Window { most: self.window.most.map(less), ..self.window },
            netted: self.netted.iter().map(|(surplus, most)| (*surplus, less(*most))).collect(),
        }
    }

    /// Adds the end to a tree.
    fn add_to(&self, tree: &mut YieldTree, branch: Option<BranchId>, segment: LossSum) {
        if self.netted.is_empty() {
            tree.add_end(branch, segment, self.window);
            return;
        }
        let fork = tree.add_branch(branch, segment);
        if self.window != Window::default() {
            tree.add_end(Some(fork), LossSum::new(), self.window);
        }
        for (surplus, most) in &self.netted {
            let mut own = LossSum::new();
            net(&mut own, *surplus);
            tree.add_end(Some(fork), own, Window::up_to(*most));
        }
    }

    /// The probability that a path fails: of several needs, at most the sum.
    fn fails(&self, randomness: &Randomness<'_>, path: &LossSum) -> f64 {
        let law = randomness.convolver.distribution(path);
        let within = law.probability_within(self.window.least, self.window.most);
        let netted = self.netted.iter().map(|(surplus, most)| {
            let mut netted = path.clone();
            net(&mut netted, *surplus);
            let law = randomness.convolver.distribution(&netted);
            law.probability_within(None, Some(*most)).complement().value()
        });
        within.complement().value() + netted.sum::<f64>()
    }
}

/// The trees of both directions, and the one in which both must close.
struct Trees {
    down: YieldTree,
    up: YieldTree,
    both: YieldTree,
    /// The tree of both directions with the design reserve taken off every window.
    with_reserve: Option<YieldTree>,
    /// Each end's path and needs in the tree of both directions.
    singles: Vec<(LossSum, Needs)>,
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
        let needs = |direction, losses: &Losses| -> Option<Vec<Needs>> {
            of_direction(ends, direction)
                .zip(&losses.paths)
                .map(|(end, path)| {
                    let pair: &Pair = &context.pairs.pairs[end.pair as usize];
                    end.missing.is_none().then_some(())?;
                    Needs::of(pair, direction, path.least_allowed(&pair.window))
                })
                .collect()
        };
        let down_needs = needs(Direction::Downstream, down)?;
        let up_needs = needs(Direction::Upstream, up)?;
        let spread =
            |losses: &Losses| losses.paths.first().map_or(0.0, |path| path.total.spread().value());
        let (base, base_needs, other, other_needs) = if spread(up) >= spread(down) {
            (up, &up_needs, down, &down_needs)
        } else {
            (down, &down_needs, up, &up_needs)
        };
        let joint_needs = both_needs((base, base_needs), (other, other_needs));
        let reserve = context.plan.assumptions.reserve;
        let with_reserve = (reserve > Decibels::ZERO).then(|| {
            let kept: Vec<Needs> = joint_needs.iter().map(|needs| needs.keeping(reserve)).collect();
            tree(trace, onus, base, &kept)
        });
        Some(Self {
            with_reserve,
            down: tree(trace, onus, down, &down_needs),
            up: tree(trace, onus, up, &up_needs),
            both: tree(trace, onus, base, &joint_needs),
            singles: base.paths.iter().map(|path| path.total.clone()).zip(joint_needs).collect(),
        })
    }

    fn yields(&self, randomness: &Randomness<'_>) -> JointYields {
        let [down, up, both] =
            [&self.down, &self.up, &self.both].map(|tree| randomness.convolver.joint_yield(tree));
        let errors = [down, up, both].map(|found| found.error_bound);
        let fails = |(path, needs): &(LossSum, Needs)| needs.fails(randomness, path);
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
fn both_needs(base: (&Losses, &[Needs]), other: (&Losses, &[Needs])) -> Vec<Needs> {
    let paths = base.0.paths.iter().zip(&other.0.paths);
    let needs = base.1.iter().zip(other.1);
    paths
        .zip(needs)
        .map(|((base_path, other_path), (base_needs, other_needs))| {
            base_needs.and(other_needs, base_path.total.mean() - other_path.total.mean())
        })
        .collect()
}

/// The tree of a PON with chains of elements drawn together: only points where the way to several
/// ONUs parts are branches.
fn tree(trace: &Trace, onus: &[Onu], losses: &Losses, needs: &[Needs]) -> YieldTree {
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
    for ((onu, extra), needs) in onus.iter().zip(&losses.allowances).zip(needs) {
        let (branch, mut segment) = open[onu.visit as usize].clone();
        segment.merge(extra);
        needs.add_to(&mut tree, branch, segment);
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
