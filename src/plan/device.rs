//! Passive devices.

use super::{JointUse, NameId};
use crate::place::Origin;
use crate::units::{Decibels, Nanometers};

/// A loss that was stated or measured for one element, at one wavelength or at any.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stated {
    /// The wavelength it was measured at; `None` = it holds at every wavelength.
    pub at: Option<Nanometers>,
    /// The loss.
    pub loss: Decibels,
    /// Uncertainty of the measurement (two standard deviations); zero for a stated exact value.
    pub uncertainty: Decibels,
}

/// A patch panel.
#[derive(Debug, Clone)]
pub struct Panel {
    /// Its id.
    pub name: NameId,
    /// Index of its place.
    pub place: Option<u32>,
    /// How many couplings it has.
    pub positions: u32,
    /// The joint at each coupling.
    pub joint: JointUse,
    /// Measured loss of a coupling, as an index into the plan's measured losses.
    pub measured: Option<u32>,
    /// Where it was stated.
    pub origin: Origin,
}

/// A closure or tray with numbered splices.
#[derive(Debug, Clone)]
pub struct SpliceCase {
    /// Its id.
    pub name: NameId,
    /// Index of its place.
    pub place: Option<u32>,
    /// How many splices it takes.
    pub positions: u32,
    /// The joint of each splice.
    pub joint: JointUse,
    /// Measured loss of a splice, as an index into the plan's measured losses.
    pub measured: Option<u32>,
    /// Where it was stated.
    pub origin: Origin,
}

/// A splitter with equal legs.
#[derive(Debug, Clone)]
pub struct Splitter {
    /// Its id.
    pub name: NameId,
    /// Index of its place.
    pub place: Option<u32>,
    /// Inputs: 1 or 2.
    pub inputs: u16,
    /// Legs.
    pub legs: u16,
    /// The row of the splitter table: the ratio, or the row the plan names.
    pub kind: Box<str>,
    /// How its fibers are joined to the spans.
    pub joint: JointUse,
    /// Measured loss, as an index into the plan's measured losses.
    pub measured: Option<u32>,
    /// Where it was stated.
    pub origin: Origin,
}

/// A connection of a tap.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TapLeg {
    /// Where the feeder comes in.
    In,
    /// The leg that goes on.
    Through,
    /// The leg that is tapped off.
    Tap,
}

impl TapLeg {
    /// The word in a point's name.
    pub const fn word(self) -> &'static str {
        match self {
            Self::In => "in",
            Self::Through => "through",
            Self::Tap => "tap",
        }
    }
}

/// An uneven splitter.
#[derive(Debug, Clone)]
pub struct Tap {
    /// Its id.
    pub name: NameId,
    /// Index of its place.
    pub place: Option<u32>,
    /// The row of the tap table: `90/10`.
    pub kind: Box<str>,
    /// How its fibers are joined to the spans.
    pub joint: JointUse,
    /// Where it was stated.
    pub origin: Origin,
}

/// A wdm element.
#[derive(Debug, Clone)]
pub struct WdmElement {
    /// Its id.
    pub name: NameId,
    /// Index of its place.
    pub place: Option<u32>,
    /// The element's name in the wdm table.
    pub kind: Box<str>,
    /// Names of its legs, from the table.
    pub legs: Vec<String>,
    /// How its fibers are joined to the spans.
    pub joint: JointUse,
    /// Where it was stated.
    pub origin: Origin,
}

/// A fixed attenuator.
#[derive(Debug, Clone)]
pub struct Attenuator {
    /// Its id.
    pub name: NameId,
    /// Index of its place.
    pub place: Option<u32>,
    /// Nominal loss.
    pub loss: Decibels,
    /// Tolerance each way.
    pub tolerance: Decibels,
    /// How its fibers are joined to the spans.
    pub joint: JointUse,
    /// Where it was stated.
    pub origin: Origin,
}
