//! One end: light from one transmitter at one receiver.

use super::{Reason, Verdict, Window};
use crate::loss::{ElementRef, Missing, PartKind};
use crate::units::{Decibels, Kilometers, Probability, PsPerNm};

/// Which way the light goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Direction {
    /// From the OLT to an ONU.
    Downstream,
    /// From an ONU to the OLT.
    Upstream,
    /// From the port that stands first in the plan to the other.
    AToB,
    /// Back.
    BToA,
}

impl Direction {
    /// The word that stands in results.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Downstream => "downstream",
            Self::Upstream => "upstream",
            Self::AToB => "A to B",
            Self::BToA => "B to A",
        }
    }
}

/// Statistical figures of an end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Statistics {
    /// Mean loss.
    pub mean: Decibels,
    /// Standard deviation of the loss.
    pub spread: Decibels,
    /// Loss that is not exceeded at the asked confidence.
    pub quantile: Decibels,
    /// How far the quantile may be off for the lattice's sake.
    pub error_bound: Decibels,
    /// The customary figure: mean plus the normal multiple of the standard deviation.
    pub normal_quantile: Decibels,
    /// By how much the optics are better than the window takes them to, at the asked confidence of loss
    /// and levels together; zero where nothing is stated of their spread.
    pub spare: Decibels,
    /// Probability that the loss lies within the window; `None` when the window is not known.
    pub closes: Option<Probability>,
}

impl Statistics {
    /// What is held against the greatest loss of the window: the loss at the asked confidence, less what
    /// the optics have to spare.
    pub fn judged(&self) -> Decibels {
        self.quantile - self.spare
    }
}

/// What speaks against an end apart from its loss. Several may hold; the verdict names the gravest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Against {
    /// The optics are made for another kind of fiber.
    pub fiber_kind: bool,
    /// More chromatic dispersion than the interface stands, at the window's worst edge and with the
    /// worst fiber of its type.
    pub dispersion: bool,
    /// The interface limits dispersion, and that of a fiber on the way is not known.
    pub dispersion_unknown: bool,
    /// The wavelength is outside what the receiver is specified for.
    pub receiver_band: bool,
    /// Longer than specified.
    pub beyond_reach: bool,
    /// No reach is known for this fiber, and modal bandwidth would decide.
    pub no_reach: bool,
    /// A wdm element on the way does not pass the wavelength.
    pub blocked: bool,
}

/// Light from one transmitter at one receiver.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct End {
    /// Index of the sending port.
    pub transmitter: u32,
    /// Index of the receiving port.
    pub receiver: u32,
    /// Which way the light goes.
    pub direction: Direction,
    /// Index of the pair of optics in [`super::Assessment::pairs`].
    pub pair: u32,
    /// Index of the PON or link it belongs to.
    pub group: u32,
    /// Fiber length.
    pub length: Kilometers,
    /// Least loss.
    pub least: Decibels,
    /// Mean loss.
    pub typical: Decibels,
    /// Worst-case loss.
    pub most: Decibels,
    /// Chromatic dispersion, least and most; `None` when a fiber on the way states none.
    pub dispersion: Option<(PsPerNm, PsPerNm)>,
    /// Return loss of the plant seen from the sending port, discrete events only; `None` when no
    /// event reflects.
    pub return_loss: Option<Decibels>,
    /// The part that decides: the one with the greatest avoidable loss.
    pub deciding: Option<(PartKind, ElementRef, Decibels)>,
    /// The datum that is missing; the losses are then incomplete.
    pub missing: Option<Missing>,
    /// Statistical figures, when they were asked for and nothing is missing.
    pub statistics: Option<Statistics>,
    /// What speaks against it apart from its loss.
    pub against: Against,
    /// What the light alone says.
    pub light: Verdict,
    /// The verdict: the worse of the light and of what the rules say of its ports and its way.
    pub verdict: Verdict,
    /// Why the light says so.
    pub reason: Reason,
    /// Which rules decided the verdict, as an index into [`super::Standing::whys`].
    pub why: u16,
}

impl End {
    /// Worst-case margin towards sensitivity.
    pub fn margin(&self, window: &Window) -> Option<Decibels> {
        if self.missing.is_some() {
            return None;
        }
        window.max.map(|max| max - self.most)
    }

    /// Headroom towards overload.
    pub fn headroom(&self, window: &Window) -> Option<Decibels> {
        if self.missing.is_some() {
            return None;
        }
        window.min.map(|min| self.least - min)
    }

    /// Margin of the loss at the asked confidence.
    pub fn statistical_margin(&self, window: &Window) -> Option<Decibels> {
        Some(window.max? - self.statistics?.judged())
    }
}
