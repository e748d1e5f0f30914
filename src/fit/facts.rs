//! What is known of two ends and the way between them: what every rule of belonging together judges.
//!
//! The same facts are gathered from a plan, from the command line and from the rows of an inventory,
//! so that one rule serves all three. What is not known is `None` and is never guessed.

use crate::plan::{Plug, Polarity, PortKind};
use crate::tables::{Card, FiberType, FormFactor, Optic, Row, Tables, TemperatureRange};
use crate::units::{GigabitsPerSecond, Kilometers, Watts};

/// One end: a port and the module in it.
#[derive(Debug, Clone)]
pub struct Side<'t> {
    /// What the port is called.
    pub name: &'t str,
    /// Equipment or ONT.
    pub kind: PortKind,
    /// The optic as written; empty where none is stated.
    pub written: &'t str,
    /// The optic, where its name is known.
    pub optic: Option<&'t Optic>,
    /// The card's type as written.
    pub card_written: Option<&'t str>,
    /// The card, where its type is known.
    pub card: Option<&'t Row<Card>>,
    /// What the cage takes: as stated, or as the card says.
    pub cage: Option<&'t Row<FormFactor>>,
    /// The form factor of the module.
    pub form: Option<&'t Row<FormFactor>>,
    /// The most electrical power that the module takes.
    pub power: Option<Watts>,
    /// The module's temperature range.
    pub temperature: Option<&'t Row<TemperatureRange>>,
    /// The kind of place it stands in.
    pub place: Option<&'t str>,
    /// The data rate that the port is set to.
    pub rate: Option<GigabitsPerSecond>,
    /// The error correction that the port is set to.
    pub fec: Option<&'t str>,
    /// The optical face of the module.
    pub face: Option<&'t Plug>,
    /// The lane of a broken-out parallel optic that this port is, from 1.
    pub lane: Option<u16>,
}

impl<'t> Side<'t> {
    /// A port of which nothing but its name is known.
    pub const fn named(name: &'t str, kind: PortKind) -> Self {
        Self {
            name,
            kind,
            written: "",
            optic: None,
            card_written: None,
            card: None,
            cage: None,
            form: None,
            power: None,
            temperature: None,
            place: None,
            rate: None,
            fec: None,
            face: None,
            lane: None,
        }
    }

    /// The name of the optic: the table's where it is known, else as written.
    pub fn optic_name(&self) -> &'t str {
        self.optic.map_or(self.written, |optic| &optic.name)
    }

    /// The rates that the port can be set to: the one it is set to, else those of its card; empty
    /// where neither is known.
    pub fn port_rates(&self) -> Vec<GigabitsPerSecond> {
        match (self.rate, self.card) {
            (Some(rate), _) => vec![rate],
            (None, Some(card)) => card.value.rates.clone(),
            (None, None) => Vec::new(),
        }
    }

    /// The rate of one lane of a broken-out optic, or of the whole optic.
    pub fn link_rate(&self, tables: &Tables) -> Option<GigabitsPerSecond> {
        let optic = self.optic?;
        let rate = optic.rate(tables)?;
        let shared = if self.lane.is_some() { f64::from(optic.lanes(tables)) } else { 1.0 };
        Some(GigabitsPerSecond::new(rate.value() / shared))
    }
}

/// The way between two ends, as far as it is known.
#[derive(Debug, Clone, Default)]
pub struct Way<'t> {
    /// Fiber length.
    pub length: Option<Kilometers>,
    /// The fiber types on the way, in order, neighbors unlike.
    pub fibers: Vec<&'t Row<FiberType>>,
    /// The fewest fibers that run side by side anywhere, where stated.
    pub strands: Option<u16>,
    /// Mode-conditioning cords on the way; `None` where nothing is known of the cords.
    pub conditioning_cords: Option<u16>,
    /// How the array cords and trunks run, in order; `None` for one of which it is not stated.
    pub arrays: Vec<Option<Polarity>>,
    /// Mated connectors on the way, where known.
    pub connections: Option<u32>,
    /// Whether a wdm element stands on the way; `None` where the way is not known.
    pub wdm: Option<bool>,
}

/// Two end faces that meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Mating<'t> {
    /// Where: a point of the plan, a column of an inventory.
    pub at: String,
    /// What the first one belongs to.
    pub first_of: String,
    /// The first face.
    pub first: &'t Plug,
    /// What the second one belongs to.
    pub second_of: String,
    /// The second face.
    pub second: &'t Plug,
    /// Whether the two are plugs in an adapter whose own polish is known.
    pub through_adapter: bool,
}
