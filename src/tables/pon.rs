//! PON classes: what an OLT and an ONU of one class give and need.

use super::{Band, LevelTerms};
use crate::units::{DecibelMilliwatts, Decibels, GigabitsPerSecond, Kilometers};

/// One class of one PON system. An empty figure is not known and is never guessed.
#[derive(Debug, Clone, PartialEq)]
pub struct PonClass {
    /// The system: `GPON`, `XGS-PON`, …
    pub system: String,
    /// The class letter within the system: `B+`, `N1`, …
    pub class: String,
    /// Least loss the class allows.
    pub min_loss: Option<Decibels>,
    /// Greatest loss downstream.
    pub max_loss_down: Option<Decibels>,
    /// Greatest loss upstream.
    pub max_loss_up: Option<Decibels>,
    /// Optical path penalty downstream.
    pub penalty_down: Option<Decibels>,
    /// Optical path penalty upstream.
    pub penalty_up: Option<Decibels>,
    /// OLT mean launch power, least and most.
    pub olt_launch: [Option<DecibelMilliwatts>; 2],
    /// OLT receiver sensitivity and overload.
    pub olt_receive: [Option<DecibelMilliwatts>; 2],
    /// ONU mean launch power, least and most.
    pub onu_launch: [Option<DecibelMilliwatts>; 2],
    /// ONU receiver sensitivity and overload.
    pub onu_receive: [Option<DecibelMilliwatts>; 2],
    /// Downstream wavelength.
    pub down: Option<Band>,
    /// Upstream wavelength.
    pub up: Option<Band>,
    /// Line rate downstream.
    pub down_rate: Option<GigabitsPerSecond>,
    /// Line rate upstream.
    pub up_rate: Option<GigabitsPerSecond>,
    /// Greatest fiber distance.
    pub reach: Option<Kilometers>,
    /// Greatest difference of fiber distances within one PON.
    pub differential_reach: Option<Kilometers>,
    /// Greatest difference of losses within one PON.
    pub differential_loss: Option<Decibels>,
    /// Least return loss of the plant.
    pub min_return_loss: Option<Decibels>,
    /// Greatest reflectance of a single event (negative).
    pub max_reflectance: Option<Decibels>,
    /// In which terms the system states its levels.
    pub levels: Option<LevelTerms>,
    /// Forward error correction the figures assume.
    pub fec: String,
    /// Why the class's own arithmetic does not close, where it does not.
    pub exception: String,
}
