//! Short forms for the tests.

use spanwright::loss::statistics::{Convolver, LossDistribution, LossSum, Shape, Steepness};
use spanwright::units::{Decibels, Probability};

pub fn db(value: f64) -> Decibels {
    Decibels::new(value)
}

pub fn p(value: f64) -> Probability {
    Probability::new(value).expect("a probability")
}

pub fn fixed(loss: f64) -> Shape {
    Shape::fixed(db(loss)).unwrap()
}

pub fn normal(mean: f64, spread: f64) -> Shape {
    Shape::normal(db(mean), db(spread)).unwrap()
}

pub fn exponential(mean: f64) -> Shape {
    Shape::exponential(db(0.0), db(mean)).unwrap()
}

pub fn log_normal(mean: f64, spread: f64) -> Shape {
    Shape::log_normal(db(0.0), db(mean), db(spread)).unwrap()
}

/// A gamma law with this start, and shape and scale above it.
pub fn gamma(start: f64, shape: f64, scale: f64) -> Shape {
    Shape::gamma(db(start), db(start + shape * scale), db(shape.sqrt() * scale)).unwrap()
}

/// A single-mode connector of grade B (IEC 61753-1: mean 0.12 dB, 97 % at most 0.25 dB, from
/// memory) as the Weibull law through both figures.
pub fn connector() -> Shape {
    Shape::weibull(db(0.0), Steepness::new(2.047_286_905_06).unwrap(), db(0.135_454_100_238)).unwrap()
}

pub fn sum(parts: &[(Shape, u32)]) -> LossSum {
    let mut sum = LossSum::new();
    for (shape, count) in parts {
        sum.add_times(shape, *count);
    }
    sum
}

pub fn law(parts: &[(Shape, u32)]) -> LossDistribution {
    Convolver::new().distribution(&sum(parts))
}

pub fn at_most(law: &LossDistribution, loss: f64) -> f64 {
    law.probability_within(None, Some(db(loss))).value()
}
