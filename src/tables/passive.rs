//! Splitters, taps, wdm elements, attenuators; hazard levels.

use super::LossFigures;
use crate::units::{DecibelMilliwatts, Decibels, Nanometers, Percent};

/// A splitter with equal legs.
#[derive(Debug, Clone, PartialEq)]
pub struct SplitterType {
    /// Inputs: 1 or 2.
    pub inputs: u16,
    /// Legs.
    pub outputs: u16,
    /// Loss from an input to any one leg, the split included.
    pub figures: LossFigures,
    /// Greatest difference between legs.
    pub uniformity: Option<Decibels>,
    /// What comes back from the splitter itself, as a loss.
    pub return_loss: Option<Decibels>,
    /// Whether the figures hold with its connectors mated, so that no joint is counted at it.
    pub with_connectors: bool,
    /// Wavelengths the figures hold for, where stated.
    pub band: Option<(Nanometers, Nanometers)>,
}

impl SplitterType {
    /// What a lossless splitter of this many legs would lose: `10 log10 N`.
    pub fn ideal(outputs: u16) -> Decibels {
        Decibels::new(10.0 * f64::from(outputs).log10())
    }
}

/// An uneven splitter: one leg goes on, the other is tapped off.
#[derive(Debug, Clone, PartialEq)]
pub struct TapType {
    /// Share of the light that the tap leg gets.
    pub tap_share: Percent,
    /// Loss towards the leg that goes on.
    pub through: LossFigures,
    /// Loss towards the tap leg.
    pub tap: LossFigures,
    /// Wavelengths the figures hold for, where stated.
    pub band: Option<(Nanometers, Nanometers)>,
}

/// One passband of one leg of a wdm element.
#[derive(Debug, Clone, PartialEq)]
pub struct WdmLeg {
    /// The element's name.
    pub element: String,
    /// The leg's name.
    pub leg: String,
    /// The wavelengths the leg passes.
    pub band: (Nanometers, Nanometers),
    /// Loss between this leg and the common port.
    pub figures: LossFigures,
    /// Isolation against the other legs, where known.
    pub isolation: Option<Decibels>,
}

/// A stocked fixed attenuator.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AttenuatorValue {
    /// Nominal loss.
    pub value: Decibels,
    /// Tolerance each way.
    pub tolerance: Decibels,
}

/// The power up to which a hazard level of IEC 60825-2 reaches.
#[derive(Debug, Clone, PartialEq)]
pub struct HazardLevel {
    /// `1`, `1M`, `3R`, …
    pub level: String,
    /// The wavelengths the limit holds for.
    pub band: (Nanometers, Nanometers),
    /// The limit.
    pub limit: DecibelMilliwatts,
    /// The edition it was taken from.
    pub edition: String,
}
