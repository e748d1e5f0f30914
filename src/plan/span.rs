//! Spans and joints.

use super::{PointRef, Stated};
use crate::place::Origin;
use crate::units::{Decibels, DecibelsPerKilometer, Kilometers};

/// How two fiber ends meet.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum JointKind {
    /// No joint of its own: it is counted elsewhere, or the fiber runs through.
    None,
    /// A mated connector.
    Connector {
        /// Row of the connector table.
        grade: String,
        /// Row of the polish table; empty when not stated.
        polish: String,
    },
    /// A splice; row of the splice table.
    Splice(String),
    /// The splices along a span, however many, by their loss for each kilometer.
    SplicesPerKilometer(SpliceLoss),
}

/// Loss of the splices along a span for each kilometer of it.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum SpliceLoss {
    /// Row of the splice table whose figures hold for a kilometer.
    Row(String),
    /// As stated.
    Stated(StatedSpliceLoss),
}

/// A stated loss of splices for each kilometer, held to a millionth of a dB/km so that two of them are
/// equal or not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct StatedSpliceLoss(u32);

impl StatedSpliceLoss {
    /// Millionths of a dB.
    const IN_ONE: f64 = 1e6;

    /// A loss from 0 to 100 dB/km.
    pub fn new(loss: DecibelsPerKilometer) -> Option<Self> {
        let value = loss.value();
        (0.0..=100.0).contains(&value).then(|| Self((value * Self::IN_ONE).round() as u32))
    }

    /// What the splices of one kilometer lose.
    pub fn of_one(self) -> Decibels {
        Decibels::new(f64::from(self.0) / Self::IN_ONE)
    }
}

/// What a span is drawn from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub enum SpanKind {
    /// Fiber of a cable of the outside plant.
    #[default]
    Cable,
    /// The cable to the premises.
    Drop,
    /// A cord with plugs at both ends.
    PatchCord,
    /// A cord with one plug, spliced at the other end.
    Pigtail,
    /// A cord between two frames.
    Jumper,
}

impl SpanKind {
    /// All kinds.
    pub const ALL: [Self; 5] = [Self::Cable, Self::Drop, Self::PatchCord, Self::Pigtail, Self::Jumper];

    /// The word in plans and on sheets.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Cable => "cable",
            Self::Drop => "drop",
            Self::PatchCord => "patch-cord",
            Self::Pigtail => "pigtail",
            Self::Jumper => "jumper",
        }
    }

    /// Whether it lies outside: repair and temperature allowances, slack and reels are its own.
    pub const fn is_outside(self) -> bool {
        matches!(self, Self::Cable | Self::Drop)
    }
}

/// Index of a [`JointKind`] in the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct JointUse(pub u16);

/// Losses measured on one element.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// One entry per wavelength.
    pub values: Vec<Stated>,
    /// Where it was stated.
    pub origin: Origin,
}

/// One fiber, or a duplex pair of fibers, between two connection points.
#[derive(Debug, Clone)]
pub struct Span {
    /// One end.
    pub from: PointRef,
    /// The other end.
    pub to: PointRef,
    /// Fiber length: route length with the plan's slack added.
    pub length: Kilometers,
    /// Fiber type, as an index into the plan's fiber names.
    pub fiber: u16,
    /// Kind of the splices along the span.
    pub splice: JointUse,
    /// Splices along the span, those of repairs among them; these alone where the others are counted by
    /// their loss for each kilometer.
    pub splices: u16,
    /// Kind of the connectors counted on the span beside those at its ends.
    pub connector: JointUse,
    /// Connectors counted on the span beside those at its ends.
    pub connectors: u16,
    /// Reels the fiber was drawn from: their attenuations vary independently.
    pub reels: u16,
    /// What it is drawn from.
    pub kind: SpanKind,
    /// Whether the span counts as outside plant that repair allowances apply to.
    pub outside: bool,
    /// Measured loss, as an index into the plan's measured losses.
    pub measured: Option<u32>,
    /// How it is built, as an index into the plan's builds.
    pub build: Option<u16>,
    /// Cable, as an index into the plan's cable names.
    pub cable: Option<u16>,
    /// First strand number; 0 when not stated.
    pub strand: u32,
    /// Where it was stated.
    pub origin: Origin,
}

/// Two devices joined directly, pigtail to pigtail.
#[derive(Debug, Clone)]
pub struct DirectJoint {
    /// One side.
    pub from: PointRef,
    /// The other side.
    pub to: PointRef,
    /// The joint.
    pub joint: JointUse,
    /// Where it was stated.
    pub origin: Origin,
}
