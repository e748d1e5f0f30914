//! What holds for all sums and all trees.

use super::support::{at_most, db, p};
use proptest::prelude::*;
use spanwright::loss::statistics::{Convolver, LossSum, Shape, Window, YieldTree};

/// A loss that never falls below zero.
fn loss() -> impl Strategy<Value = Shape> {
    (0..8_u8, 0.0..0.5_f64, 0.01..0.4_f64, 0.15..1.2_f64).prop_map(|(kind, start, above, ratio)| {
        let (start, mean, spread) = (db(start), db(start + above), db(above * ratio));
        match kind {
            0 => Shape::fixed(mean),
            1 => Shape::uniform(start, db(mean.value() + above)),
            2 => Shape::exponential(start, mean),
            3 => Shape::gamma(start, mean, spread),
            4 => Shape::weibull_with(start, mean, spread),
            5 => Shape::log_normal(start, mean, spread),
            6 => Shape::cut_normal(start, mean, spread),
            _ => Shape::half_normal(start, spread),
        }
        .expect("figures in order")
    })
}

fn fiber() -> impl Strategy<Value = Shape> {
    (0.1..8.0_f64, 0.0..0.03_f64)
        .prop_map(|(mean, part)| Shape::normal(db(mean), db(mean * part)).expect("in order"))
}

fn elements() -> impl Strategy<Value = Vec<(Shape, u32)>> {
    (prop::collection::vec((loss(), 1..4_u32), 1..5), prop::option::of(fiber())).prop_map(
        |(mut all, fiber)| {
            all.extend(fiber.map(|fiber| (fiber, 1)));
            all
        },
    )
}

fn sum(elements: &[(Shape, u32)]) -> LossSum {
    super::support::sum(elements)
}

fn config() -> ProptestConfig {
    ProptestConfig { cases: 40, ..ProptestConfig::default() }
}

/// One level of splitting: feeder, legs, room above the mean of each.
fn tree() -> impl Strategy<Value = Parts> {
    (elements(), prop::collection::vec((elements(), 0.0..1.5_f64), 1..5))
}

type Parts = (Vec<(Shape, u32)>, Vec<Leg>);
type Leg = (Vec<(Shape, u32)>, f64);

/// The tree, each leg with the limit `mean + room + more`.
fn build((feeder, legs): &Parts, more: f64) -> (YieldTree, Vec<(LossSum, f64)>) {
    let mut tree = YieldTree::new();
    let fork = tree.add_branch(None, sum(feeder));
    let mut paths = Vec::new();
    for (leg, room) in legs {
        let mut path = sum(feeder);
        path.merge(&sum(leg));
        let most = path.mean().value() + room + more;
        tree.add_end(Some(fork), sum(leg), Window { least: None, most: Some(db(most)) });
        paths.push((path, most));
    }
    (tree, paths)
}

proptest! {
    #![proptest_config(config())]

    #[test]
    fn mean_of_the_law_is_the_sum_of_means(elements in elements()) {
        let law = Convolver::new().distribution(&sum(&elements));
        let expected: f64 = elements.iter().map(|(shape, n)| f64::from(*n) * shape.mean().value()).sum();
        prop_assert!((law.mean().value() - expected).abs() < 1e-9);
        // The mean of the computed law itself: the integral of the quantile.
        let steps = 20_000;
        let integral: f64 = (0..steps)
            .map(|j| law.quantile(p((f64::from(j) + 0.5) / f64::from(steps))).value())
            .sum::<f64>() / f64::from(steps);
        prop_assert!((integral - expected).abs() < 2e-3 * law.spread().value() + 1e-6, "{} {}", integral, expected);
    }

    #[test]
    fn variances_add(elements in elements()) {
        let law = Convolver::new().distribution(&sum(&elements));
        let expected: f64 = elements.iter().map(|(shape, n)| f64::from(*n) * shape.spread().value().powi(2)).sum();
        prop_assert!((law.spread().value().powi(2) - expected).abs() < 1e-9);
    }

    #[test]
    fn another_element_never_lowers_a_quantile(elements in elements(), more in loss()) {
        let convolver = Convolver::new();
        let without = convolver.distribution(&sum(&elements));
        let mut longer = sum(&elements);
        longer.add(&more);
        let with = convolver.distribution(&longer);
        for asked in [0.001, 0.03, 0.5, 0.9, 0.97, 0.999] {
            let bounds = [&without, &with].map(|law| law.error_bound(p(asked)).value());
            let bound = bounds[0] + bounds[1] + 1e-9;
            prop_assert!(with.quantile(p(asked)).value() >= without.quantile(p(asked)).value() - bound);
        }
    }

    #[test]
    fn order_does_not_matter(elements in elements(), turn in 0..5_usize) {
        let mut other = elements.clone();
        other.reverse();
        other.rotate_left(turn % elements.len());
        let convolver = Convolver::new();
        let (one, two) = (convolver.distribution(&sum(&elements)), convolver.distribution(&sum(&other)));
        for asked in [0.001, 0.5, 0.999] {
            prop_assert!((one.quantile(p(asked)).value() - two.quantile(p(asked)).value()).abs() < 1e-9);
        }
    }

    #[test]
    fn quantile_and_probability_are_inverse_and_monotone(elements in elements()) {
        let law = Convolver::new().distribution(&sum(&elements));
        prop_assume!(law.spread().value() > 0.0);
        let mut last = f64::NEG_INFINITY;
        for asked in [1e-9, 1e-6, 1e-3, 0.1, 0.5, 0.9, 0.999, 1.0 - 1e-6, 1.0 - 1e-9] {
            let q = law.quantile(p(asked)).value();
            prop_assert!(q >= last);
            last = q;
            prop_assert!((at_most(&law, q) - asked).abs() < 1e-8, "{} {}", asked, at_most(&law, q));
        }
    }

    #[test]
    fn every_law_keeps_within_the_bounds_of_cantelli(elements in elements(), k in 0.5..6.0_f64) {
        let law = Convolver::new().distribution(&sum(&elements));
        let limit = law.mean().value() + k * law.spread().value();
        prop_assert!(1.0 - at_most(&law, limit) <= 1.0 / (1.0 + k * k) + 1e-6);
    }

    #[test]
    fn stated_bounds_are_small(elements in elements()) {
        let law = Convolver::new().distribution(&sum(&elements));
        let bound = law.error_bound(p(0.999));
        prop_assert!(bound.value() < 5e-3, "{:?} {:?}", bound, law);
    }

    #[test]
    fn joint_yield_lies_between_its_bounds(parts in tree()) {
        let convolver = Convolver::new();
        let (tree, paths) = build(&parts, 0.0);
        let joint = convolver.joint_yield(&tree);
        let singles: Vec<f64> =
            paths.iter().map(|(path, most)| at_most(&convolver.distribution(path), *most)).collect();
        let slack = joint.error_bound + 1e-5;
        let found = joint.probability.value();
        prop_assert!(found <= singles.iter().copied().fold(1.0, f64::min) + slack);
        prop_assert!(found >= 1.0 - singles.iter().map(|single| 1.0 - single).sum::<f64>() - slack);
        // All ends close the more easily, the less the feeder loses: they are associated.
        prop_assert!(found >= singles.iter().product::<f64>() - slack);
        let failures: f64 = singles.iter().map(|single| 1.0 - single).sum();
        prop_assert!((joint.expected_failures - failures).abs() < 1e-9);
    }

    #[test]
    fn more_room_never_lowers_the_joint_yield(parts in tree(), more in 0.0..0.5_f64) {
        let convolver = Convolver::new();
        let (tight, wide) = (build(&parts, 0.0).0, build(&parts, more).0);
        let (tight, wide) = (convolver.joint_yield(&tight), convolver.joint_yield(&wide));
        prop_assert!(
            wide.probability.value() >= tight.probability.value() - tight.error_bound - wide.error_bound,
            "{:?} {:?}", tight, wide
        );
    }
}
