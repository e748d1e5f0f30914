//! Statistics of sums of losses.
//!
//! The loss of a light path is a sum of independent losses that are not normal: splices and
//! connectors have skewed losses that never fall below zero. This folder computes the law of such a
//! sum itself, with a bound on its error, and the probability that all ends of a tree close
//! together. It knows decibels and probabilities, and nothing of plans, plants or tables.
//!
//! Start reading at [`Shape`] (one element), [`LossSum`] (a light path), [`Convolver`] (the law of a
//! sum), [`YieldTree`] (ends that share elements) and [`Sampler`] (the same by drawing, as a check).

mod cache;
mod chance;
mod distribution;
mod fidelity;
mod group;
mod kernel;
mod lattice;
mod normal;
mod pass;
mod sample;
mod shape;
mod spectrum;
mod split;
mod sum;
mod tree;
mod wave;
mod window;

pub use cache::Convolver;
pub use chance::MeanNumber;
pub use distribution::LossDistribution;
pub use sample::{Estimate, QuantileEstimate, Sampler};
pub use shape::{Shape, ShapeError, Steepness};
pub use sum::LossSum;
pub use tree::{BranchId, JointYield, Window, YieldTree};

use crate::units::Probability;

/// How near to 0 and 1 a probability may be for a quantile.
const NEAREST: f64 = 1e-12;

/// A probability to look a quantile up for.
fn inner(p: Probability) -> f64 {
    p.value().clamp(NEAREST, 1.0 - NEAREST)
}

/// A computed probability, freed from rounding beyond 0 and 1.
fn clamped(value: f64) -> Probability {
    Probability::clamped(value)
}
