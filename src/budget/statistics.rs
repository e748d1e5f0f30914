//! Distributions along the walk: losses of paths and joint yields of PONs.

use rustc_hash::FxHashMap;

use super::{Pair, Statistics, Window};
use crate::loss::statistics::{Convolver, LossSum, Shape};
use crate::loss::{AtWavelength, Chance, Part, law_of};
use crate::plan::Plan;
use crate::plant::Trace;
use crate::tables::{ShapeKind, Surplus};
use crate::units::{Decibels, Kilometers, Probability};

/// Turns parts into distributions; remembers what it has made.
pub(super) struct Randomness<'c> {
    pub(super) convolver: &'c Convolver,
    shapes: FxHashMap<[u64; 5], Option<Shape>>,
}

/// The random loss of one path.
pub(super) struct PathLoss {
    /// Everything, allowances included.
    pub(super) total: LossSum,
    /// The mean of what the allowances add.
    pub(super) allowance: Decibels,
}

impl PathLoss {
    /// The least loss a window allows, in terms of the total. Too much light arrives on the first
    /// day, when no allowance is used up yet, so the bound moves up by their mean.
    pub(super) fn least_allowed(&self, window: &Window) -> Option<Decibels> {
        window.min.map(|min| min + self.allowance)
    }
}

impl<'c> Randomness<'c> {
    pub(super) fn new(convolver: &'c Convolver) -> Self {
        Self { convolver, shapes: FxHashMap::default() }
    }

    /// The loss of a whole path, allowances included.
    pub(super) fn path(
        &mut self,
        at: &AtWavelength<'_>,
        trace: &Trace,
        visit: u32,
        outside: Kilometers,
    ) -> PathLoss {
        let mut total = LossSum::new();
        for step in trace.path_to(visit).into_iter().skip(1) {
            self.add_step(at, trace, step, &mut total);
        }
        let mut allowance = LossSum::new();
        self.add_allowances(at, outside, &mut allowance);
        total.merge(&allowance);
        PathLoss { total, allowance: allowance.mean() }
    }

    /// Adds what lies between a visit and its parent.
    pub(super) fn add_step(
        &mut self,
        at: &AtWavelength<'_>,
        trace: &Trace,
        visit: u32,
        sum: &mut LossSum,
    ) {
        at.step(trace, visit, &mut |step| {
            if let Ok(part) = step {
                self.add_part(&part, sum);
            }
        });
    }

    /// Adds the allowances of a path with this much fiber outside.
    pub(super) fn add_allowances(
        &mut self,
        at: &AtWavelength<'_>,
        outside: Kilometers,
        sum: &mut LossSum,
    ) {
        at.path_wide(outside, &mut |step| {
            if let Ok(part) = step {
                self.add_part(&part, sum);
            }
        });
    }

    fn add_part(&mut self, part: &Part, sum: &mut LossSum) {
        let each = &part.each;
        match part.chance {
            Some(Chance::Dirt(dirt)) => {
                if let Ok(more) = Shape::fixed(dirt.loss) {
                    sum.add_in_share(dirt.share, &more, part.count);
                }
            }
            Some(Chance::Events { mean, draws }) => {
                if let Some(law) = law_of(each).or_else(|| Shape::fixed(each.typical).ok()) {
                    sum.add_poisson(mean, draws, &law);
                }
                return;
            }
            None => {}
        }
        if each.spread == Decibels::ZERO || each.shape == ShapeKind::Fixed {
            sum.add_fixed(each.typical * f64::from(part.count));
            return;
        }
        let key = [
            each.least.value().to_bits(),
            each.typical.value().to_bits(),
            each.most.value().to_bits(),
            each.spread.value().to_bits(),
            each.shape as u64,
        ];
        let known = self.shapes.get(&key).copied();
        let shape = known.unwrap_or_else(|| {
            let made = law_of(each);
            // Fiber of every length has a shape of its own; only what recurs is kept.
            if each.shape != ShapeKind::Normal {
                self.shapes.insert(key, made);
            }
            made
        });
        match shape {
            Some(shape) => sum.add_times(&shape, part.count),
            None => sum.add_fixed(each.typical * f64::from(part.count)),
        }
    }

    /// The statistical figures of a path between two optics.
    pub(super) fn figures(&self, path: &PathLoss, pair: &Pair, plan: &Plan) -> Statistics {
        let confidence = plan.assumptions.confidence;
        let window = &pair.window;
        let law = self.convolver.distribution(&path.total);
        let quantile = law.quantile(confidence);
        let error_bound = law.error_bound(confidence);
        let normal_quantile = path.total.normal_quantile(confidence);
        let least = path.least_allowed(window);
        let (mean, spread) = (law.mean(), law.spread());
        let figures = |spare, closes, error_bound| Statistics {
            mean,
            spread,
            quantile,
            error_bound,
            normal_quantile,
            spare,
            closes,
        };
        if pair.surplus == [None, None] {
            let closes = window.max.map(|max| law.probability_within(least, Some(max)));
            return figures(Decibels::ZERO, closes, error_bound);
        }
        let mut netted = path.total.clone();
        pair.surplus.iter().flatten().for_each(|surplus| net(&mut netted, *surplus));
        let better = self.convolver.distribution(&netted);
        // Too much light is judged with the strongest transmitter and never comes with too little.
        let closes = window.max.map(|max| {
            let too_weak = better.probability_within(None, Some(max)).complement().value();
            let too_strong = law.probability_within(least, None).complement().value();
            Probability::clamped(1.0 - too_weak - too_strong)
        });
        let bound = error_bound.max(better.error_bound(confidence));
        figures(quantile - better.quantile(confidence), closes, bound)
    }
}

/// Takes off a loss what better specimens have to spare.
pub(super) fn net(sum: &mut LossSum, surplus: Surplus) {
    match Shape::normal(-surplus.mean, surplus.spread) {
        Ok(law) => sum.add(&law),
        Err(_) => sum.add_fixed(-surplus.mean),
    }
}
