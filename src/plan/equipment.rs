//! Places, shelves and ports.

use super::NameId;
use crate::place::Origin;

/// Where things stand.
#[derive(Debug, Clone)]
pub struct Place {
    /// Its id.
    pub name: NameId,
    /// `central-office`, `cabinet`, `closure`, `pole`, `premises`, …
    pub kind: String,
    /// Latitude and longitude in degrees (WGS 84).
    pub at: Option<(f64, f64)>,
    /// Where it was stated.
    pub origin: Origin,
}

/// A shelf with its slots.
#[derive(Debug, Clone)]
pub struct Shelf {
    /// Its id.
    pub name: NameId,
    /// Index of the place it stands in.
    pub place: Option<u32>,
    /// Its slots in the order they were stated.
    pub slots: Vec<Slot>,
    /// Where it was stated.
    pub origin: Origin,
}

/// A slot of a shelf.
#[derive(Debug, Clone)]
pub struct Slot {
    /// The slot's number or letter as written.
    pub number: String,
    /// What sits in it.
    pub content: SlotContent,
}

/// What sits in a slot.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SlotContent {
    /// A card of a type (empty when not stated).
    Card(String),
    /// A blank panel.
    Blank,
}

/// What a port belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PortKind {
    /// A port of a card in a shelf.
    Equipment,
    /// The optical port of an ONT or ONU at the premises.
    Ont,
}

/// A port that stands by for another one on the same plant: one of the two sends at a time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Protection {
    /// Index of the port that stands by.
    pub standby: u32,
    /// Index of the port it stands by for.
    pub working: u32,
    /// Where it was stated.
    pub origin: Origin,
}

/// A port of equipment, or an ONT.
#[derive(Debug, Clone)]
pub struct Port {
    /// Its id: `olt-1/1/1`, `home-007`.
    pub name: NameId,
    /// Equipment or ONT.
    pub kind: PortKind,
    /// Index of the place it stands in.
    pub place: Option<u32>,
    /// What else is said of it, as an index into the plan's fittings.
    pub fitting: Option<u32>,
    /// The optics in it, as an index into the plan's optic sets. Several: every one must close
    /// (a house that is to be served by two systems).
    pub optics: Option<u32>,
    /// Whether anybody is connected, or is to be: a home that is only passed is stated as such.
    pub connected: bool,
    /// Where it was stated.
    pub origin: Origin,
}
