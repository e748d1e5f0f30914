//! How two fiber ends meet.

use super::{FiberKind, LossFigures};
use crate::units::Decibels;

/// A connector grade: the loss of a mated pair.
#[derive(Debug, Clone, PartialEq)]
pub struct ConnectorGrade {
    /// The fiber kind it is for; `None` for both.
    pub kind: Option<FiberKind>,
    /// Loss of one mated pair.
    pub figures: LossFigures,
}

/// An end-face polish.
#[derive(Debug, Clone, PartialEq)]
pub struct Polish {
    /// Reflectance of a mated pair, dB (negative).
    pub mated_reflectance: Option<Decibels>,
    /// Reflectance of an open end, dB (negative).
    pub open_reflectance: Option<Decibels>,
    /// Polishes it may be mated with.
    pub mates_with: Vec<String>,
}

/// A kind of splice.
#[derive(Debug, Clone, PartialEq)]
pub struct SpliceKind {
    /// Loss of one splice.
    pub figures: LossFigures,
    /// Reflectance, dB (negative).
    pub reflectance: Option<Decibels>,
}
