//! Distributions and joint yields. The peer for the same path is `benches/peer/monte_carlo.py`.

use divan::{Bencher, black_box};
use spanwright::loss::statistics::{Convolver, LossSum, Sampler, Shape, Steepness, Window, YieldTree};
use spanwright::units::{Decibels, Probability};

fn main() {
    divan::main();
}

fn db(value: f64) -> Decibels {
    Decibels::new(value)
}

fn confidence() -> Probability {
    Probability::new(0.999).expect("a probability")
}

/// Forty elements, those of the peer: twenty splices, eighteen connectors of two makes, a splitter and
/// the fiber.
fn forty_elements() -> LossSum {
    let splice = Shape::exponential(db(0.0), db(0.05)).expect("a shape");
    let steepness = Steepness::new(2.047_286_905_06).expect("a steepness");
    let connector = Shape::weibull(db(0.0), steepness, db(0.135_454_100_238)).expect("a shape");
    let other = Shape::log_normal(db(0.0), db(0.25), db(0.108)).expect("a shape");
    let splitter = Shape::gamma(db(3.0), db(3.4), db(0.15)).expect("a shape");
    let fiber = Shape::normal(db(7.0), db(0.12)).expect("a shape");
    let mut sum = LossSum::new();
    sum.add_times(&splice, 20);
    sum.add_times(&connector, 14);
    sum.add_times(&other, 4);
    sum.add(&splitter);
    sum.add(&fiber);
    sum
}

#[divan::bench]
fn quantile_of_forty_elements_cold(bencher: Bencher<'_, '_>) {
    let sum = forty_elements();
    bencher.bench(|| black_box(Convolver::new().distribution(black_box(&sum)).quantile(confidence())));
}

#[divan::bench]
fn quantile_of_forty_elements_warm(bencher: Bencher<'_, '_>) {
    let (sum, convolver) = (forty_elements(), Convolver::new());
    bencher.bench(|| black_box(convolver.distribution(black_box(&sum)).quantile(confidence())));
}

/// The same path by drawing a million times: the cross-check, not the method.
#[divan::bench(sample_count = 3, sample_size = 1)]
fn quantile_of_forty_elements_sampled(bencher: Bencher<'_, '_>) {
    let sum = forty_elements();
    bencher.bench(|| black_box(Sampler::new(1).quantile(black_box(&sum), confidence(), 1_000_000)));
}

/// A PON whose drops all differ, tight enough that nothing can be taken for certain.
fn pon(ends: u32, most: f64) -> YieldTree {
    let mut tree = YieldTree::new();
    let mut feeder = LossSum::new();
    feeder.add(&Shape::normal(db(2.9), db(0.06)).expect("a shape"));
    feeder.add_times(&Shape::gamma(db(0.0), db(0.25), db(0.1126)).expect("a shape"), 4);
    let hub = tree.add_branch(None, feeder);
    for end in 0..ends {
        let mut drop = LossSum::new();
        drop.add(&Shape::uniform(db(19.6), db(21.6)).expect("a shape"));
        drop.add(&Shape::normal(db(0.05 + 0.0007 * f64::from(end)), db(0.003)).expect("a shape"));
        drop.add_times(&Shape::gamma(db(0.0), db(0.25), db(0.1126)).expect("a shape"), 2);
        tree.add_end(Some(hub), drop, Window::between(db(13.0), db(most)));
    }
    tree
}

#[divan::bench(args = [16, 64, 128])]
fn joint_yield_cold(bencher: Bencher<'_, '_>, ends: u32) {
    let tree = pon(ends, 26.2);
    bencher.bench(|| black_box(Convolver::new().joint_yield(black_box(&tree)).probability));
}

#[divan::bench(args = [16, 64, 128])]
fn joint_yield_warm(bencher: Bencher<'_, '_>, ends: u32) {
    let (tree, convolver) = (pon(ends, 26.2), Convolver::new());
    bencher.bench(|| black_box(convolver.joint_yield(black_box(&tree)).probability));
}
