//! Joint yields of trees.

use super::support::{connector, db, exponential, fixed, gamma, normal, p, sum};
use approx::assert_abs_diff_eq;
use spanwright::loss::statistics::{
    BranchId, Convolver, JointYield, LossSum, Sampler, Shape, Window, YieldTree,
};

fn at_most(most: f64) -> Window {
    Window { least: None, most: Some(db(most)) }
}

/// A feeder, a splitter and legs, each with its window.
fn pon(feeder: Shape, legs: &[(Shape, usize)], window: Window) -> YieldTree {
    let mut tree = YieldTree::new();
    let fork = tree.add_branch(None, sum(&[(feeder, 1)]));
    for (leg, count) in legs {
        for _ in 0..*count {
            tree.add_end(Some(fork), sum(&[(*leg, 1)]), window);
        }
    }
    tree
}

fn joint(tree: &YieldTree) -> JointYield {
    Convolver::new().joint_yield(tree)
}

#[track_caller]
fn check(found: JointYield, exact: f64, epsilon: f64) {
    assert_abs_diff_eq!(found.probability.value(), exact, epsilon = epsilon);
    assert!((found.probability.value() - exact).abs() <= found.error_bound + 1e-10, "{found:?} {exact}");
}

/// Feeder N(6, 0.25), legs N(19, 0.45), at most B dB.
/// Source: Gauss-Hermite quadrature of E[Phi((B - f - 19)/0.45)^N] by mpmath, 13 digits.
#[test]
fn ends_that_share_a_normal_feeder() {
    for (most, ends, exact) in [
        (26.5, 1, 0.998_215_036_388_4),
        (26.5, 8, 0.986_338_297_458_7),
        (26.5, 32, 0.951_580_961_803_4),
        (26.5, 64, 0.914_280_211_599_5),
        (27.0, 1, 0.999_948_865_257_8),
        (27.0, 8, 0.999_592_860_349_1),
        (27.0, 32, 0.998_396_123_005_5),
        (27.0, 64, 0.996_851_030_108_3),
        (28.0, 1, 0.999_999_997_190_4),
        (28.0, 8, 0.999_999_977_523_7),
        (28.0, 32, 0.999_999_910_097_7),
        (28.0, 64, 0.999_999_820_203_6),
    ] {
        let found = joint(&pon(normal(6.0, 0.25), &[(normal(19.0, 0.45), ends)], at_most(most)));
        // Where hardly anything fails, the sum of the single failures stands for the joint one.
        let epsilon = if exact > 0.999_999_9 { 2e-10 } else { 1e-9 };
        check(found, exact, epsilon);
        assert!(found.error_bound < 1e-6, "{found:?}");
    }
}

/// The same: the sum of the single failures. Source: 32 times 1 - 0.998215036388...
#[test]
fn expected_failures_are_the_sum_of_single_failures() {
    let found = joint(&pon(normal(6.0, 0.25), &[(normal(19.0, 0.45), 32)], at_most(26.5)));
    assert_abs_diff_eq!(found.expected_failures, 1.0 - 0.942_881_164_429, epsilon = 1e-9);
    // The product of single yields, 0.9444336..., takes the ends for independent: too low.
    assert!(found.probability.value() > 0.944_433_621_177);
}

/// The loss that all 32 ends keep with a given probability. Source: bisection on the above by mpmath.
#[test]
fn loss_not_exceeded_by_any_end() {
    let convolver = Convolver::new();
    for (asked, exact) in
        [(0.9, 26.362_474_990_07), (0.99, 26.752_122_126_23), (0.999, 27.058_937_442_74)]
    {
        let (mut low, mut high) = (25.0, 29.0);
        while high - low > 1e-9 {
            let middle = 0.5 * (low + high);
            let tree = pon(normal(6.0, 0.25), &[(normal(19.0, 0.45), 32)], at_most(middle));
            if convolver.joint_yield(&tree).probability.value() < asked {
                low = middle
            } else {
                high = middle
            }
        }
        assert_abs_diff_eq!(low, exact, epsilon = 1e-6);
    }
}

/// Source: nested Gauss-Legendre quadrature, `reference_values.py`.
#[test]
fn overload_counts_too() {
    let window = Window { least: Some(db(23.2)), most: Some(db(26.6)) };
    check(
        joint(&pon(normal(6.0, 0.25), &[(normal(19.0, 0.45), 32)], window)),
        0.965_966_179_724_12,
        1e-8,
    );
}

/// Source: `reference_values.py`.
#[test]
fn unequal_legs() {
    let legs = [(normal(18.6, 0.4), 10), (normal(19.0, 0.45), 12), (normal(19.3, 0.3), 10)];
    check(joint(&pon(normal(6.0, 0.25), &legs, at_most(26.6))), 0.985_754_062_121_63, 1e-8);
}

/// Source: `reference_values.py`.
#[test]
fn skewed_feeder_and_legs() {
    check(
        joint(&pon(gamma(6.0, 4.0, 0.05), &[(gamma(19.0, 3.0, 0.2), 16)], at_most(27.6))),
        0.990_801_298_870_77,
        1e-6,
    );
}

/// Legs far narrower than the feeder. Source: `reference_values.py`.
#[test]
fn narrow_legs() {
    check(
        joint(&pon(normal(6.0, 0.25), &[(normal(19.0, 0.002), 8)], at_most(25.5))),
        0.976_626_620_943_15,
        1e-6,
    );
}

/// Laws with kinks everywhere. Source: `reference_values.py`.
#[test]
fn kinked_feeder_and_legs() {
    let feeder = Shape::exponential(db(6.0), db(6.1)).unwrap();
    let leg = Shape::exponential(db(19.0), db(19.2)).unwrap();
    check(joint(&pon(feeder, &[(leg, 4)], at_most(26.2))), 0.980_612_487_678_2, 1e-6);
}

/// Two stages of splitters. Source: nested quadrature, `reference_values.py`.
#[test]
fn cascaded_splitters() {
    let mut tree = YieldTree::new();
    let first = tree.add_branch(None, sum(&[(gamma(6.0, 4.0, 0.05), 1)]));
    for _ in 0..4 {
        let second = tree.add_branch(Some(first), sum(&[(gamma(7.0, 3.0, 0.06), 1)]));
        for _ in 0..8 {
            tree.add_end(Some(second), sum(&[(gamma(10.5, 2.0, 0.15), 1)]), at_most(25.6));
        }
    }
    check(joint(&tree), 0.993_206_356_960_29, 1e-6);
}

/// Ends without spread of their own: they fail together. Source: the normal law (mpmath).
#[test]
fn fixed_legs_fail_together() {
    let tree = pon(normal(6.0, 0.25), &[(fixed(19.0), 20), (fixed(18.5), 20)], at_most(25.5));
    check(joint(&tree), 0.977_249_868_051_820_8, 1e-6);
    let tree = pon(fixed(6.0), &[(fixed(19.0), 20), (fixed(18.5), 20)], at_most(25.0));
    assert_eq!(joint(&tree).probability.value(), 1.0);
    let tree = pon(fixed(6.0), &[(fixed(19.0), 20), (fixed(19.5), 1)], at_most(25.0));
    assert_eq!(joint(&tree).probability.value(), 0.0);
}

/// Ends at the root share nothing: the product. Source: the normal law, Phi(2)^2 Phi(3) (mpmath).
#[test]
fn ends_without_a_shared_segment_are_independent() {
    let mut tree = YieldTree::new();
    tree.add_end(None, sum(&[(normal(1.0, 0.1), 1)]), at_most(1.2));
    tree.add_end(None, sum(&[(normal(1.0, 0.1), 1)]), at_most(1.2));
    tree.add_end(None, sum(&[(normal(1.0, 0.1), 1)]), at_most(1.3));
    let exact = 0.977_249_868_051_820_8_f64.powi(2) * 0.998_650_101_968_369_9;
    check(joint(&tree), exact, 1e-9);
    assert_eq!(joint(&YieldTree::new()).probability.value(), 1.0);
}

/// A chain is its sum, however deep; nothing recurses.
#[test]
fn a_hundred_thousand_forks_deep() {
    let mut tree = YieldTree::new();
    let mut fork = tree.add_branch(None, sum(&[(normal(6.0, 0.25), 1)]));
    for _ in 0..100_000 {
        fork = tree.add_branch(Some(fork), sum(&[(fixed(1e-5), 1)]));
    }
    tree.add_end(Some(fork), sum(&[(normal(18.0, 0.45), 1)]), at_most(26.5));
    check(joint(&tree), 0.998_215_036_388_4, 1e-9);
}

/// A line of taps, each with its end, against drawing.
#[test]
fn a_long_line_of_taps() {
    let mut tree = YieldTree::new();
    let mut fork: Option<BranchId> = None;
    for tap in 0..60 {
        fork = Some(tree.add_branch(fork, sum(&[(exponential(0.05), 2), (normal(0.1, 0.005), 1)])));
        let reach = 4.0 + 0.2 * f64::from(tap) + 0.35 * f64::from(tap).sqrt();
        tree.add_end(fork, sum(&[(connector(), 2), (fixed(3.0), 1)]), at_most(reach));
    }
    agrees_with_drawing(&tree, 100_000);
}

/// Trees of all kinds, made by a fixed rule, against drawing.
#[test]
fn any_tree_agrees_with_drawing() {
    for seed in 0..12_u64 {
        let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) ^ 0x1234_5678;
        let mut pick = |n: u64| {
            state =
                state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) % n
        };
        let mut tree = YieldTree::new();
        let mut forks: Vec<(Option<BranchId>, f64)> = vec![(None, 0.0)];
        for _ in 0..=pick(5) {
            let (parent, mean) = forks[pick(forks.len() as u64) as usize];
            let segment = segment(&mut pick);
            let mean = mean + segment.mean().value();
            forks.push((Some(tree.add_branch(parent, segment)), mean));
        }
        for _ in 0..=pick(24) {
            let (parent, mean) = forks[pick(forks.len() as u64) as usize];
            let segment = segment(&mut pick);
            let mean = mean + segment.mean().value();
            let most = mean + 0.15 + 0.1 * pick(8) as f64;
            let least = (pick(3) == 0).then(|| db(mean - 0.3 - 0.1 * pick(4) as f64));
            tree.add_end(parent, segment, Window { least, most: Some(db(most)) });
        }
        agrees_with_drawing(&tree, 60_000);
    }
}

fn segment(pick: &mut impl FnMut(u64) -> u64) -> LossSum {
    let mut sum = LossSum::new();
    for _ in 0..=pick(3) {
        let shape = match pick(8) {
            0 => exponential(0.03 + 0.02 * pick(4) as f64),
            1 => connector(),
            2 => gamma(0.2, 2.0, 0.03 + 0.01 * pick(3) as f64),
            3 => Shape::uniform(db(0.1), db(0.3 + 0.1 * pick(3) as f64)).unwrap(),
            4 => Shape::log_normal(db(0.0), db(0.2), db(0.1)).unwrap(),
            5 => Shape::half_normal(db(0.0), db(0.08)).unwrap(),
            6 => fixed(0.5),
            _ => normal(1.0, 0.01 + 0.02 * pick(4) as f64),
        };
        sum.add_times(&shape, 1 + pick(3) as u32);
    }
    sum
}

#[track_caller]
fn agrees_with_drawing(tree: &YieldTree, trials: u32) {
    let computed = joint(tree);
    let drawn = Sampler::new(5).joint_yield(tree, trials);
    let off = (computed.probability.value() - drawn.probability.value()).abs();
    assert!(off <= 4.0 * drawn.standard_error, "{computed:?} {drawn:?}");
    assert!(computed.error_bound < 1e-5, "{computed:?}");
}

#[test]
fn equal_ends_and_subtrees_count_as_often_as_they_stand() {
    // The same tree with ends told apart by a hundred millionth of a dB, so that none are alike.
    let build = |apart: f64| {
        let mut tree = YieldTree::new();
        let first = tree.add_branch(None, sum(&[(connector(), 2), (normal(2.0, 0.1), 1)]));
        for middle in 0..3 {
            let second =
                tree.add_branch(Some(first), sum(&[(exponential(0.05), 3), (normal(1.0, 0.02), 1)]));
            for end in 0..5 {
                let most = 4.6 + apart * f64::from(5 * middle + end);
                tree.add_end(
                    Some(second),
                    sum(&[(connector(), 2), (normal(0.5, 0.02), 1)]),
                    at_most(most),
                );
            }
        }
        joint(&tree).probability.value()
    };
    assert_abs_diff_eq!(build(0.0), build(1e-8), epsilon = 1e-6);
    assert!(build(0.0) > 0.3 && build(0.0) < 0.999, "{}", build(0.0));
}

#[test]
fn a_64_way_pon_with_all_drops_different_is_exact_to_a_millionth() {
    let mut tree = YieldTree::new();
    let fork =
        tree.add_branch(None, sum(&[(exponential(0.05), 5), (connector(), 3), (normal(2.0, 0.03), 1)]));
    for drop in 0..64 {
        let km = 0.1 + 0.013 * f64::from(drop);
        let leg = sum(&[
            (exponential(0.05), 2),
            (connector(), 2),
            (Shape::gamma(db(19.0), db(20.0), db(0.4)).unwrap(), 1),
            (normal(0.33 * km, 0.01 * km), 1),
        ]);
        tree.add_end(Some(fork), leg, at_most(25.0));
    }
    let found = joint(&tree);
    assert!(found.error_bound < 1e-6, "{found:?}");
    let drawn = Sampler::new(1).joint_yield(&tree, 100_000);
    assert_abs_diff_eq!(
        found.probability.value(),
        drawn.probability.value(),
        epsilon = 4.0 * drawn.standard_error
    );
}

#[test]
fn quantile_of_a_single_end_and_its_yield_agree() {
    let feeder = sum(&[(connector(), 2), (normal(2.0, 0.1), 1)]);
    let leg = sum(&[(exponential(0.05), 4), (normal(1.0, 0.05), 1)]);
    let convolver = Convolver::new();
    let mut path = feeder.clone();
    path.merge(&leg);
    let most = convolver.distribution(&path).quantile(p(0.97));
    let mut tree = YieldTree::new();
    let fork = tree.add_branch(None, feeder);
    tree.add_end(Some(fork), leg, Window { least: None, most: Some(most) });
    assert_abs_diff_eq!(convolver.joint_yield(&tree).probability.value(), 0.97, epsilon = 1e-6);
}

/// All ends of a tree close no oftener than the one that closes least often, whatever the others do.
#[test]
fn one_end_that_never_closes_decides() {
    let far = [(connector(), 1), (normal(29.0, 0.2), 1)];
    for others in [0, 1, 40] {
        let mut tree = pon(normal(6.0, 0.25), &[(normal(19.0, 0.45), others)], at_most(26.5));
        tree.add_end(None, sum(&far), at_most(26.5));
        let found = joint(&tree);
        check(found, 0.0, 1e-12);
        assert!(found.error_bound < 1e-6 && found.expected_failures >= 1.0, "{found:?}");
    }
}

/// A splitter behind the other, each with an end of its own: every end has another number of splitters,
/// splices and connectors on its way, and all but the first few are too far.
#[test]
fn a_long_line_of_splitters() {
    let mut tree = YieldTree::new();
    let mut at = None;
    let splitter = [(normal(3.6, 0.1), 1), (connector(), 2), (exponential(0.05), 1)];
    for _ in 0..150 {
        let fork = tree.add_branch(at, sum(&splitter));
        tree.add_end(Some(fork), sum(&[(connector(), 1)]), at_most(28.0));
        at = Some(fork);
    }
    let begun = std::time::Instant::now();
    let found = joint(&tree);
    check(found, 0.0, 1e-12);
    // Hundreds of times what it takes with optimization.
    assert!(begun.elapsed() < std::time::Duration::from_mins(4), "{:?}", begun.elapsed());
}
