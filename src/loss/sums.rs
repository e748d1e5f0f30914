//! Running sums along a path.

use super::{ElementRef, Missing, Part, PartKind};
use crate::units::{Decibels, Kilometers, PsPerNm};

/// What has added up from the start of a path to one of its points.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sums {
    /// Sum of the least losses.
    pub least: Decibels,
    /// Sum of the mean losses.
    pub typical: Decibels,
    /// Sum of the greatest losses.
    pub most: Decibels,
    /// Fiber length.
    pub length: Kilometers,
    /// Fiber length outside, to which repair and temperature allowances apply.
    pub outside: Kilometers,
    /// Chromatic dispersion, least and most over the window and the fiber's tolerance.
    pub dispersion: (PsPerNm, PsPerNm),
    /// Whether the dispersion of every fiber on the way is known.
    pub dispersion_known: bool,
    /// The part with the greatest avoidable loss so far: it decides.
    pub deciding: Option<(PartKind, ElementRef, Decibels)>,
    /// Fiber types on the way, one bit per index below 64.
    pub fibers: u64,
    /// The first datum that was missing; the sums are then incomplete and must not be judged.
    pub missing: Option<Missing>,
}

impl Default for Sums {
    fn default() -> Self {
        Self {
            least: Decibels::ZERO,
            typical: Decibels::ZERO,
            most: Decibels::ZERO,
            length: Kilometers::ZERO,
            outside: Kilometers::ZERO,
            dispersion: (PsPerNm::ZERO, PsPerNm::ZERO),
            dispersion_known: true,
            deciding: None,
            fibers: 0,
            missing: None,
        }
    }
}

impl Sums {
    /// Adds one part.
    pub fn add(&mut self, part: &Part) {
        let total = part.total();
        self.least += total.least;
        self.typical += total.typical;
        self.most += total.most;
        let avoidable = total.most - part.unavoidable;
        let decides = self.deciding.is_none_or(|(_, _, before)| avoidable > before);
        if decides && !part.kind.is_allowance() {
            self.deciding = Some((part.kind, part.element, avoidable));
        }
    }
}
