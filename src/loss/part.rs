//! The parts a path's loss is made of.

use super::statistics::MeanNumber;
use crate::plan::{JointUse, PointRef};
use crate::tables::{Dirt, LossFigures, RowId};
use crate::units::{Decibels, Kilometers};

/// What a part is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum PartKind {
    /// Fiber of a span.
    Fiber,
    /// Splices along a span.
    Splices,
    /// Connectors counted on a span.
    Connectors,
    /// A whole span that was measured.
    MeasuredSpan,
    /// The joint at a connection point.
    Joint,
    /// Two devices joined directly.
    DirectJoint,
    /// Extra loss where unlike fibers meet.
    Transition,
    /// Through a splitter.
    Splitter,
    /// Through a tap.
    Tap,
    /// Through a wdm element.
    Wdm,
    /// Through an attenuator.
    Attenuator,
    /// Allowance: repair splices to come.
    Repair,
    /// Allowance: cold or heat.
    Temperature,
    /// Allowance: ageing of the plant.
    Ageing,
}

impl PartKind {
    /// Whether the part is an allowance: not there on the first day.
    pub const fn is_allowance(self) -> bool {
        matches!(self, Self::Repair | Self::Temperature | Self::Ageing)
    }
}

/// Which thing of the plan a part belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum ElementRef {
    /// A span, by index.
    Span(u32),
    /// A direct joint, by index.
    Direct(u32),
    /// A connection point.
    Point(PointRef),
    /// The path as a whole.
    Path,
}

/// A reference table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum TableName {
    /// `fiber-attenuation`
    Attenuation,
    /// `fiber-transitions`
    Transitions,
    /// `connectors`
    Connectors,
    /// `splices`
    Splices,
    /// `splitters`
    Splitters,
    /// `taps`
    Taps,
    /// `wdm-elements`
    WdmElements,
    /// `pon-classes`
    PonClasses,
    /// `interfaces`
    Interfaces,
    /// `polishes`
    Polishes,
    /// `fibers`
    Fibers,
    /// `fiber-dispersion`
    Dispersion,
}

impl TableName {
    /// All of them, in order.
    pub const ALL: [Self; 12] = [
        Self::Attenuation,
        Self::Transitions,
        Self::Connectors,
        Self::Splices,
        Self::Splitters,
        Self::Taps,
        Self::WdmElements,
        Self::PonClasses,
        Self::Interfaces,
        Self::Polishes,
        Self::Fibers,
        Self::Dispersion,
    ];
}

/// A row of a reference table.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct RowRef {
    /// The table.
    pub table: TableName,
    /// The row.
    pub row: RowId,
}

/// What of a part comes by chance; the worst case does not see it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Chance {
    /// Some of the draws lose more.
    Dirt(Dirt),
    /// The number of draws is random: events that come without memory, each with so many draws.
    Events {
        /// Events on average.
        mean: MeanNumber,
        /// Draws with each event.
        draws: u32,
    },
}

/// One line of an itemised loss.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// What it is.
    pub kind: PartKind,
    /// What it belongs to.
    pub element: ElementRef,
    /// How many equal, independent draws it stands for.
    pub count: u32,
    /// Figures of one draw.
    pub each: LossFigures,
    /// Length, for fiber and what scales with it.
    pub length: Kilometers,
    /// What no element of its kind could avoid: `10 log10 N` of a splitter, the mean loss of a fiber.
    pub unavoidable: Decibels,
    /// The joint it is, for joints, splices and connectors.
    pub joint: Option<JointUse>,
    /// What of it comes by chance.
    pub chance: Option<Chance>,
    /// Table rows the figures come from (two where a wavelength lies between two rows).
    pub rows: [Option<RowRef>; 2],
}

impl Part {
    /// A part of one draw with no length.
    pub(crate) fn single(kind: PartKind, element: ElementRef, each: LossFigures) -> Self {
        Self {
            kind,
            element,
            count: 1,
            each,
            length: Kilometers::ZERO,
            unavoidable: Decibels::ZERO,
            joint: None,
            chance: None,
            rows: [None, None],
        }
    }

    /// Sets the row the figures come from.
    pub(crate) fn with_row(mut self, table: TableName, row: Option<RowId>) -> Self {
        self.rows[0] = row.map(|row| RowRef { table, row });
        self
    }

    /// Least, typical and most of all draws together.
    pub fn total(&self) -> LossFigures {
        self.each.times(self.count)
    }
}
