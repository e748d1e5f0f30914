//! Losses that come by chance, cut normal laws, laws through two of their values: against the values of
//! `laws.csv`, which `benches/peer/reference_laws.py` made.

use super::support::{at_most, db, exponential, fixed, gamma, normal, p, sum};
use approx::assert_abs_diff_eq;
use proptest::prelude::*;
use spanwright::loss::statistics::{
    Convolver, LossDistribution, LossSum, MeanNumber, Sampler, Shape, Window, YieldTree,
};

fn number(mean: f64) -> MeanNumber {
    MeanNumber::new(mean).unwrap()
}

/// What is at stake of a case: the rows `case,what,at,value`.
fn rows(case: &str) -> Vec<(String, f64, f64)> {
    let text = include_str!("laws.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let rows: Vec<_> = reader
        .records()
        .map(|row| row.unwrap())
        .filter(|row| &row[0] == case)
        .map(|row| (row[1].to_string(), row[2].parse().unwrap_or(f64::NAN), row[3].parse().unwrap()))
        .collect();
    assert!(!rows.is_empty(), "no rows for {case}");
    rows
}

/// Checks all rows of a case to 1e-7 and 1e-6 dB, and that the stated bounds hold and stay below 0.005 dB.
#[track_caller]
fn check(case: &str, law: &LossDistribution) {
    for (what, at, exact) in rows(case) {
        let (found, bound) = if what == "P" {
            (at_most(law, at), law.probability_error_bound().value())
        } else {
            (law.quantile(p(at)).value(), law.error_bound(p(at)).value())
        };
        assert!((found - exact).abs() < 1e-6, "{case} {what} {at}: {found}, not {exact}");
        assert!((found - exact).abs() <= bound + 1e-9, "{case} {what} {at}: off by more than {bound}");
        assert!(bound < 5e-3, "{case} {what} {at}: bound {bound}");
    }
}

#[test]
fn a_share_of_dirty_connectors() {
    let mut path =
        sum(&[(gamma(0.0, 4.931_262_889_9, 0.050_696_952_399_7), 6), (exponential(0.05), 10)]);
    path.add_in_share(p(0.03), &fixed(1.0), 6);
    check("dirty", &Convolver::new().distribution(&path));
    // 6 * 0.03 dirty ones on average.
    assert_abs_diff_eq!(path.mean().value(), 6.0 * 0.25 + 0.5 + 0.18, epsilon = 1e-9);
}

#[test]
fn dirt_whose_loss_is_itself_random() {
    let mut path = sum(&[(exponential(0.25), 4), (exponential(0.06), 10)]);
    path.add_in_share(p(0.05), &exponential(1.2), 4);
    check("dirty-exponential", &Convolver::new().distribution(&path));
}

#[test]
fn a_random_number_of_repairs() {
    let mut path = sum(&[(exponential(0.25), 4)]);
    path.add_poisson(number(0.852), 2, &exponential(0.1));
    check("repairs", &Convolver::new().distribution(&path));
    let mut alone = LossSum::new();
    alone.add_poisson(number(0.852), 2, &exponential(0.1));
    check("repairs-alone", &Convolver::new().distribution(&alone));
    // Two random numbers of the same repairs are one of both means together.
    let mut parts = LossSum::new();
    parts.add_poisson(number(0.352), 2, &exponential(0.1));
    parts.add_poisson(number(0.5), 2, &exponential(0.1));
    check("repairs-alone", &Convolver::new().distribution(&parts));
}

/// Mean L E[X] and variance L E[X^2] (not L Var X) of a Poisson number of losses. Source: any textbook on
/// compound Poisson laws.
#[test]
fn moments_of_a_random_number() {
    let mut sum = LossSum::new();
    sum.add_poisson(number(0.852), 1, &normal(0.1, 0.04));
    assert_abs_diff_eq!(sum.mean().value(), 0.0852, epsilon = 1e-12);
    assert_abs_diff_eq!(sum.spread().value().powi(2), 0.852 * (0.04 * 0.04 + 0.01), epsilon = 1e-12);
}

#[test]
fn a_normal_law_cut_at_zero() {
    let one = Shape::cut_normal(db(0.0), db(0.05), db(0.05)).unwrap();
    let values = rows("cut-normal-1");
    assert_abs_diff_eq!(one.mean().value(), values[0].2, epsilon = 1e-12);
    assert_abs_diff_eq!(one.spread().value(), values[1].2, epsilon = 1e-12);
    for (case, count) in [("cut-normal-2", 2), ("cut-normal-4", 4)] {
        check(case, &Convolver::new().distribution(&sum(&[(one, count)])));
    }
    // The law with the mean and spread of what is left is the same one.
    let left = Shape::truncated_normal(db(0.0), one.mean(), one.spread()).unwrap();
    for asked in [0.01, 0.5, 0.97] {
        let (one, left) = (one.quantile(p(asked)).value(), left.quantile(p(asked)).value());
        assert_abs_diff_eq!(one, left, epsilon = 1e-9);
    }
}

/// Repairs that all ends share and dirt at each of them: the joint yield of a tree.
#[test]
fn chances_on_a_tree() {
    for legs in [1, 8, 32, 64] {
        for (_, most, exact) in rows(&format!("dirty-pon-{legs}")) {
            let mut feeder = sum(&[(normal(6.0, 0.25), 1)]);
            feeder.add_poisson(number(0.5), 1, &fixed(0.3));
            let mut tree = YieldTree::new();
            let fork = tree.add_branch(None, feeder);
            for _ in 0..legs {
                let mut leg = sum(&[(normal(19.0, 0.45), 1)]);
                leg.add_in_share(p(0.03), &fixed(1.0), 1);
                tree.add_end(Some(fork), leg, Window { least: None, most: Some(db(most)) });
            }
            let found = Convolver::new().joint_yield(&tree);
            let off = (found.probability.value() - exact).abs();
            assert!(off < 1e-6, "{legs} legs, {most} dB: {found:?}, not {exact}");
            assert!(off <= found.error_bound + 1e-10, "{legs} legs, {most} dB: {found:?}, not {exact}");
            if exact < 0.999 {
                let drawn = Sampler::new(5).joint_yield(&tree, 40_000);
                let apart = (drawn.probability.value() - exact).abs();
                assert!(apart < 4.0 * drawn.standard_error, "{drawn:?}, not {exact}");
            }
        }
    }
}

/// Without any other spread the law jumps, and its quantiles stand on the jumps.
#[test]
fn dirt_alone_is_a_law_of_steps() {
    let mut path = sum(&[(fixed(2.0), 1)]);
    path.add_in_share(p(0.1), &fixed(1.0), 2);
    let law = Convolver::new().distribution(&path);
    // 0.9^2 = 0.81 clean, 0.18 once, 0.01 twice.
    for (asked, loss) in [(0.5, 2.0), (0.8, 2.0), (0.82, 3.0), (0.98, 3.0), (0.995, 4.0)] {
        assert_abs_diff_eq!(law.quantile(p(asked)).value(), loss, epsilon = 1e-8);
    }
    for (most, share) in [(1.9, 0.0), (2.0, 0.81), (3.5, 0.99), (4.0, 1.0)] {
        assert_abs_diff_eq!(at_most(&law, most), share, epsilon = 1e-12);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn dirt_never_helps_and_its_bound_holds(
        (joints, share, loss, cuts) in (1..12_u32, 0.0..0.3_f64, 0.05..2.0_f64, 0.0..2.0_f64)
    ) {
        let convolver = Convolver::new();
        let clean = sum(&[(gamma(0.0, 4.9, 0.05), joints), (normal(3.0, 0.1), 1)]);
        let mut dirty = clean.clone();
        dirty.add_in_share(p(share), &fixed(loss), joints);
        dirty.add_poisson(number(cuts), 2, &gamma(0.0, 4.0, 0.0125));
        let (before, after) = (convolver.distribution(&clean), convolver.distribution(&dirty));
        for asked in [0.001, 0.5, 0.97, 0.999] {
            let (a, b) = (before.quantile(p(asked)).value(), after.quantile(p(asked)).value());
            prop_assert!(b >= a - 1e-4, "{asked}: {a} {b}");
            let back = at_most(&after, b);
            prop_assert!((back - asked).abs() < 1e-6, "{asked}: {back}");
        }
        let drawn = Sampler::new(3).quantile(&dirty, p(0.9), 20_000);
        let exact = after.quantile(p(0.9)).value();
        let wide = 2.5 * (drawn.high.value() - drawn.low.value()) + 1e-3;
        prop_assert!((drawn.value.value() - exact).abs() < wide, "{drawn:?} {exact}");
    }
}
