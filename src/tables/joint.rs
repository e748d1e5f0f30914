//! How two fiber ends meet.

use super::{Dirt, FiberKind, LossFigures};
use crate::units::Decibels;

/// A connector grade: the loss of a mated pair.
#[derive(Debug, Clone, PartialEq)]
pub struct ConnectorGrade {
    /// The fiber kind it is for; `None` for both.
    pub kind: Option<FiberKind>,
    /// Loss of one mated pair.
    pub figures: LossFigures,
    /// How often one is dirty, and what it then loses more: counted in the statistics alone.
    pub dirt: Option<Dirt>,
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
    /// Loss of one splice, or of the splices along one kilometer of a span.
    pub figures: LossFigures,
    /// Whether the figures hold for a kilometer of span, whatever the number of splices along it.
    pub per_kilometer: bool,
    /// Reflectance, dB (negative).
    pub reflectance: Option<Decibels>,
}
