//! Laws of single sums.

use super::support::{
    at_most, connector, db, exponential, fixed, gamma, law, log_normal, normal, p, sum,
};
use approx::assert_abs_diff_eq;
use spanwright::loss::statistics::{Convolver, LossDistribution, LossSum, Sampler, Shape};

/// Checks probabilities to 1e-7 and quantiles to 1e-6 dB, and that both keep their stated bounds.
#[track_caller]
fn check(law: &LossDistribution, limits: &[(f64, f64)], quantiles: &[(f64, f64)]) {
    // What the reference values and the closed forms' own arithmetic may add.
    let digits = 1e-10;
    for &(loss, exact) in limits {
        let found = at_most(law, loss);
        assert_abs_diff_eq!(found, exact, epsilon = 1e-7);
        assert!(
            (found - exact).abs() <= law.probability_error_bound().value() + digits,
            "P(<= {loss}) = {found}"
        );
    }
    for &(asked, exact) in quantiles {
        let found = law.quantile(p(asked)).value();
        assert_abs_diff_eq!(found, exact, epsilon = 1e-6);
        if asked <= 0.999 {
            assert!(
                (found - exact).abs() <= law.error_bound(p(asked)).value() + digits,
                "quantile {asked} = {found}"
            );
        }
    }
    let bound = law.error_bound(p(0.999));
    assert!(bound.value() < 1e-3, "error bound {bound:?}");
}

/// 5 reels of 4 km N(0.21, 0.01) dB/km, 4 splices N(0.05, 0.03), 4 connectors N(0.20, 0.10).
/// Source: closed form (normal law), the normal quantiles by mpmath's erfinv.
#[test]
fn normal_parts_add_in_closed_form() {
    let law = law(&[(normal(0.84, 0.04), 5), (normal(0.05, 0.03), 4), (normal(0.20, 0.10), 4)]);
    assert_abs_diff_eq!(law.mean().value(), 5.2, epsilon = 1e-12);
    assert_abs_diff_eq!(law.spread().value(), 0.227_156_333_832_011, epsilon = 1e-14);
    check(
        &law,
        &[(5.5, 0.906_695_350_062_605)],
        &[
            (0.5, 5.2),
            (0.9, 5.491_112_555_245_786),
            (0.97, 5.627_234_180_722_318),
            (0.99, 5.728_444_654_285_01),
            (0.999, 5.901_965_841_358_321),
            (0.9999, 6.044_798_150_296_923),
        ],
    );
}

/// 10 splices, exponential with mean 0.05 dB.
/// Source: Erlang law, regularized incomplete gamma function by mpmath.
#[test]
fn ten_exponential_splices_are_an_erlang_law() {
    let law = law(&[(exponential(0.05), 10)]);
    check(
        &law,
        &[(0.5, 0.542_070_285_528_148), (0.8, 0.956_701_684_058_134), (1.0, 0.995_004_587_691_692)],
        &[
            (0.5, 0.483_435_730_735_707),
            (0.97, 0.836_559_462_227_133),
            (0.99, 0.939_155_869_665_626),
            (0.999, 1.132_868_665_453_15),
            (0.9999, 1.309_649_331_826_3),
        ],
    );
}

/// Exponential losses of mean 0.1, 0.2 and 0.3 dB.
/// Source: hypoexponential law, partial fractions by mpmath.
#[test]
fn unequal_exponentials() {
    let law = law(&[(exponential(0.1), 1), (exponential(0.2), 1), (exponential(0.3), 1)]);
    check(
        &law,
        &[(0.5, 0.475_030_808_227_024), (1.0, 0.866_396_117_968_825), (1.5, 0.971_891_423_033_546)],
        &[
            (0.5, 0.520_661_908_361_822),
            (0.9, 1.095_679_888_314_32),
            (0.97, 1.479_647_670_360_96),
            (0.99, 1.819_642_231_418_12),
            (0.999, 2.519_520_855_991_12),
            (0.9999, 3.213_062_952_008_99),
        ],
    );
}

/// 4 exponential losses of mean 0.25 dB and 10 of mean 0.06 dB.
/// Source: partial fractions in 60 digits by mpmath.
#[test]
fn few_large_and_many_small_exponentials() {
    let law = law(&[(exponential(0.25), 4), (exponential(0.06), 10)]);
    check(
        &law,
        &[
            (1.0, 0.108_883_860_586_755),
            (1.6, 0.555_776_680_363_072),
            (2.5, 0.937_545_329_917_628),
            (4.0, 0.999_201_641_472_112),
        ],
        &[
            (0.5, 1.526_947_396_976_22),
            (0.9, 2.311_724_559_712_2),
            (0.97, 2.777_026_632_756_61),
            (0.99, 3.167_252_385_164_17),
            (0.999, 3.928_337_968_094_88),
            (0.9999, 4.645_338_709_340_57),
        ],
    );
    // The customary rule, mean + z * standard deviation, is 0.7 dB too low here: 1.6 + 3.0902 * 0.53479.
    let rule = sum(&[(exponential(0.25), 4), (exponential(0.06), 10)]).normal_quantile(p(0.999)).value();
    assert_abs_diff_eq!(rule, 3.252_624_3, epsilon = 1e-6);
}

/// 3 and 5 uniform losses on [0, 0.5] dB, 12 on [0, 0.1] dB.
/// Source: the Irwin-Hall law by mpmath; P(3 uniforms <= 2 widths) = 5/6.
#[test]
fn uniform_losses_are_an_irwin_hall_law() {
    let uniform = |width: f64| Shape::uniform(db(0.0), db(width)).unwrap();
    check(
        &law(&[(uniform(0.5), 3)]),
        &[(1.0, 5.0 / 6.0)],
        &[
            (0.5, 0.75),
            (0.9, 1.078_283_667_349_13),
            (0.97, 1.217_689_191_335_69),
            (0.99, 1.304_256_617_941_56),
            (0.999, 1.409_143_970_358_39),
            (0.9999, 1.457_828_366_734_91),
        ],
    );
    check(
        &law(&[(uniform(0.5), 5)]),
        &[],
        &[(0.97, 1.853_617_511_964_5), (0.999, 2.172_805_305_029_38), (0.9999, 2.293_554_104_133_33)],
    );
    check(
        &law(&[(uniform(0.1), 12)]),
        &[],
        &[
            (0.97, 0.787_651_924_095_599),
            (0.999, 0.900_183_649_504_498),
            (0.9999, 0.954_039_094_012_769),
        ],
    );
}

/// Two half-normal losses with sigma 0.2 dB.
/// Source: F(x) = erf(x / (2 sigma))^2 by mpmath.
#[test]
fn two_half_normal_losses() {
    let law = law(&[(Shape::half_normal(db(0.0), db(0.2)).unwrap(), 2)]);
    check(
        &law,
        &[],
        &[
            (0.5, 0.297_492_794_058_707),
            (0.9, 0.551_210_061_721_335),
            (0.97, 0.687_203_300_406_474),
            (0.99, 0.793_720_379_821_293),
            (0.999, 0.984_487_634_806_678),
            (0.9999, 1.147_102_883_428_81),
        ],
    );
}

/// 2, 4 and 10 lognormal losses of mean 0.2 dB and standard deviation 0.1 dB.
/// Source: direct quadrature (2) and inversion of the Laplace transform (fixed Talbot, two orders) by
/// mpmath, agreeing to 1e-20.
#[test]
fn lognormal_losses() {
    let one = log_normal(0.2, 0.1);
    check(
        &law(&[(one, 2)]),
        &[(0.4, 0.569_472_550_664_06), (0.6, 0.912_520_466_364_54), (0.9, 0.994_114_973_058_79)],
        &[],
    );
    check(
        &law(&[(one, 4)]),
        &[(0.8, 0.550_925_348_143_5), (1.2, 0.961_343_111_811_9), (1.6, 0.998_109_673_354_6)],
        &[(0.97, 1.234_945_524_48), (0.99, 1.382_221_241_29), (0.999, 1.683_194_513_88)],
    );
    check(
        &law(&[(one, 10)]),
        &[(2.0, 0.533_181_504_926_5), (2.5, 0.932_823_732_763_1), (3.2, 0.998_746_657_396_7)],
        &[(0.97, 2.658_064_951_4), (0.99, 2.855_853_795_21), (0.999, 3.236_042_310_56)],
    );
}

/// Two grade B connectors. Source: direct quadrature in 30 digits, `reference_values.py`.
#[test]
fn two_weibull_connectors() {
    check(
        &law(&[(connector(), 2)]),
        &[(0.2, 0.347_255_062_000_391), (0.3, 0.763_725_452_423_174), (0.4, 0.956_335_921_665_741)],
        &[(0.97, 0.418_054_739_387_674), (0.999, 0.550_591_416_211_145)],
    );
}

/// Mixed sums. Source: Gil-Pelaez inversion of the characteristic functions, `reference_values.py`.
#[test]
fn connectors_splices_and_fiber() {
    check(
        &law(&[(connector(), 8), (exponential(0.05), 10), (normal(7.0, 0.12), 1)]),
        &[(8.3, 0.278_330_752_558_6), (8.8, 0.898_414_931_450_02), (9.2, 0.995_428_284_053_95)],
        &[(0.97, 8.977_589_184_844_1), (0.999, 9.355_082_895_356_4)],
    );
    check(
        &law(&[
            (gamma(0.0, 4.282_789_376_83, 0.028_019_122_455_4), 4),
            (log_normal(0.05, 0.03), 6),
            (Shape::uniform(db(3.2), db(3.8)).unwrap(), 1),
            (normal(2.1, 0.05), 1),
        ]),
        &[(6.1, 0.115_078_352_753_96), (6.4, 0.534_755_249_100_34), (6.8, 0.968_840_847_837_95)],
        &[(0.97, 6.803_550_550_738_4), (0.999, 7.064_604_589_626_4)],
    );
    check(
        &law(&[
            (Shape::half_normal(db(0.0), db(0.2)).unwrap(), 3),
            (connector(), 2),
            (exponential(0.08), 4),
        ]),
        &[(0.8, 0.199_533_064_729_72), (1.1, 0.614_679_145_857_19), (1.6, 0.968_078_692_266_32)],
        &[(0.97, 1.609_696_605_230_8), (0.999, 2.067_237_772_068)],
    );
}

/// A path of 40 elements. Source: as above.
#[test]
fn forty_elements() {
    check(
        &law(&[
            (exponential(0.05), 20),
            (connector(), 14),
            (log_normal(0.25, 0.108), 4),
            (Shape::gamma(db(3.0), db(3.4), db(0.15)).unwrap(), 1),
            (normal(7.0, 0.12), 1),
        ]),
        &[(14.0, 0.439_016_502_887_58), (15.0, 0.978_633_312_219_2)],
        &[
            (0.5, 14.065_576_601_950_9),
            (0.97, 14.928_220_282_285_1),
            (0.999, 15.551_219_004_510_1),
            (0.9999, 15.902_499_305_035_4),
        ],
    );
}

#[test]
fn two_joints_are_two_draws_not_twice_one_draw() {
    let two = law(&[(exponential(0.1), 2)]);
    // Twice one draw would be exponential with mean 0.2: P(<= 0.2) = 1 - 1/e. Two draws are an Erlang
    // law: 1 - 3/e^2.
    assert_abs_diff_eq!(at_most(&two, 0.2), 1.0 - 3.0 * (-2.0_f64).exp(), epsilon = 1e-9);
}

#[test]
fn a_sum_without_spread_is_a_step_and_meets_its_own_limit() {
    let law = law(&[(fixed(0.1), 1), (fixed(0.2), 1)]);
    assert_eq!(at_most(&law, 0.3), 1.0);
    assert_eq!(law.probability_within(Some(db(0.3)), None).value(), 1.0);
    assert_eq!(at_most(&law, 0.299), 0.0);
    assert_abs_diff_eq!(law.quantile(p(0.999)).value(), 0.3, epsilon = 1e-12);
    assert_eq!(Convolver::new().distribution(&LossSum::new()).quantile(p(0.5)).value(), 0.0);
}

#[test]
fn constants_do_not_change_the_law() {
    let convolver = Convolver::new();
    let plain = sum(&[(connector(), 6), (exponential(0.05), 3), (normal(0.0, 0.05), 1)]);
    let mut moved = plain.clone();
    moved.add_fixed(db(17.25));
    let (plain, moved) = (convolver.distribution(&plain), convolver.distribution(&moved));
    for asked in [1e-6, 0.5, 0.999] {
        assert_abs_diff_eq!(
            moved.quantile(p(asked)).value() - 17.25,
            plain.quantile(p(asked)).value(),
            epsilon = 1e-9
        );
    }
}

/// 10,000 connectors: the Cornish-Fisher expansion is exact enough there (its error falls as 1/n).
#[test]
fn ten_thousand_connectors_follow_the_expansion_of_the_central_limit() {
    let law = law(&[(connector(), 10_000)]);
    let (mean, spread) = (law.mean().value(), law.spread().value());
    // Skewness of the Weibull law by its moments G(1 + j/k), scaled by 1/sqrt(n); mpmath: 0.5963...
    let k = 2.047_286_905_06_f64;
    let moment = |j: f64| statrs::function::gamma::gamma(1.0 + j / k);
    let (m1, m2, m3) = (moment(1.0), moment(2.0), moment(3.0));
    let skewness = (m3 - 3.0 * m1 * m2 + 2.0 * m1.powi(3)) / (m2 - m1 * m1).powf(1.5) / 100.0;
    for (asked, z) in [(0.5, 0.0), (0.97, 1.880_793_608_151_25), (0.999, 3.090_232_306_167_81)] {
        let expected = mean + spread * (z + skewness / 6.0 * (z * z - 1.0));
        assert_abs_diff_eq!(law.quantile(p(asked)).value(), expected, epsilon = 2e-4 * spread);
    }
}

#[test]
fn far_quantiles_are_sane_and_in_order() {
    for parts in [
        vec![(connector(), 4), (exponential(0.05), 6), (normal(7.0, 0.1), 1)],
        vec![(exponential(0.1), 1), (normal(1.0, 0.01), 1)],
        vec![(log_normal(0.2, 0.3), 3), (exponential(0.05), 2)],
        vec![(gamma(0.0, 0.3, 0.2), 2), (connector(), 1)],
        vec![(exponential(1e-6), 3), (connector(), 1), (normal(0.0, 1e-7), 1)],
    ] {
        let law = law(&parts);
        let mut last = f64::NEG_INFINITY;
        for tail in (0..=36).map(|quarter| 10_f64.powf(-9.0 + f64::from(quarter) / 4.0)) {
            let q = law.quantile(p(tail.min(0.5))).value();
            assert!(q >= last, "{parts:?} {tail} {q} {last}");
            last = q;
        }
        for tail in (2..=36).map(|quarter| 10_f64.powf(-f64::from(quarter) / 4.0)) {
            let q = law.quantile(p(1.0 - tail)).value();
            assert!(q >= last && q < 100.0, "{parts:?} {tail} {q} {last}");
            last = q;
        }
    }
}

/// The upper tail of 10 exponential and 10 Weibull losses to one in a billion, against the bounds that
/// every law obeys: at least the tail of the exponentials alone, at most Chernoff's bound.
#[test]
fn one_in_a_billion_is_held() {
    let law = law(&[(exponential(0.05), 10), (connector(), 2), (normal(0.0, 0.02), 1)]);
    let q = law.quantile(p(1.0 - 1e-9)).value();
    // Erlang(10, 0.05) at 1 - 1e-9 by mpmath: 2.127...; the sum lies above by at least its least loss.
    let erlang = 0.05 * 40.5;
    assert!(q > erlang && q < erlang + 1.2, "{q}");
}

#[test]
fn what_was_asked_before_does_not_matter() {
    let one = sum(&[(connector(), 4), (exponential(0.05), 6), (normal(7.0, 0.0437), 1)]);
    let fresh = Convolver::new().distribution(&one).quantile(p(0.999));
    let used = Convolver::new();
    for spread in [0.0, 0.01, 0.02, 0.0436, 0.0438, 0.1, 0.3] {
        used.distribution(&sum(&[(connector(), 4), (exponential(0.05), 6), (normal(1.0, spread), 1)]));
        used.distribution(&sum(&[(connector(), 5), (normal(1.0, spread), 1)]));
    }
    assert_eq!(used.distribution(&one).quantile(p(0.999)), fresh);
}

#[test]
fn drawing_agrees_with_computing() {
    let sum = sum(&[
        (connector(), 3),
        (gamma(0.1, 2.0, 0.1), 2),
        (log_normal(0.2, 0.1), 2),
        (Shape::uniform(db(0.2), db(0.9)).unwrap(), 1),
        (Shape::half_normal(db(0.0), db(0.15)).unwrap(), 2),
        (exponential(0.07), 4),
        (normal(2.0, 0.1), 1),
    ]);
    let law = Convolver::new().distribution(&sum);
    for asked in [0.03, 0.5, 0.97, 0.999] {
        let drawn = Sampler::new(2024).quantile(&sum, p(asked), 200_000);
        let width = drawn.high.value() - drawn.low.value();
        assert_abs_diff_eq!(law.quantile(p(asked)).value(), drawn.value.value(), epsilon = width);
    }
}
