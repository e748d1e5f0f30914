//! What a module's memory says of the module: SFF-8472, SFF-8636 and CMIS, from bytes.
//!
//! Nothing is guessed: a code that no table has stays a number, a reading that the module does not
//! take is absent, and a text field is shown as it stands. Whether it all adds up is judged in
//! `check`. The maps are those of SFF-8472 rev 12, SFF-8636 rev 2.10 and CMIS 5, as restated in
//! public source texts that decode module memories; what stands here from memory only is marked.
//! Start reading at [`decode`] and [`Memory`].

mod bytes;
mod calibration;
mod checksum;
mod cmis;
mod codes;
mod diagnostics;
mod identity;
mod map;
mod sff8472;
mod sff8636;
mod suggest;
mod thresholds;

pub use bytes::{BLOCK_BYTES, Block, Image, Naming};
pub use calibration::{Calibration, External};
pub use checksum::Checksum;
pub use cmis::{Application, Tuned};
pub use codes::Code;
pub use diagnostics::{Crossing, Diagnostics, Lane, NoDiagnostics, Raised, Reading, ReceiveTerms};
pub use identity::{Identity, MadeOn};
pub use map::Map;
pub use suggest::{Disagreement, Suggestion, disagreements, suggest_interface};
pub use thresholds::{Limit, Limits, Quantity, Thresholds};

use crate::tables::Tables;
use crate::units::{DegreesCelsius, Kilometers, Megabaud, Nanometers, Percent, Watts};

/// What a module says of itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Memory {
    /// The map its memory is laid out by.
    pub map: Map,
    /// The edition of the map that the module follows.
    pub revision: Option<Code>,
    /// Form factor.
    pub identifier: Code,
    /// Connector.
    pub connector: Option<Code>,
    /// Vendor, part, serial number, date.
    pub identity: Identity,
    /// Codes of interface types: extended compliance first, then compliance bits. Empty in CMIS.
    pub compliance: Vec<Code>,
    /// Media type (CMIS).
    pub media_type: Option<Code>,
    /// Applications the module can be set to (CMIS).
    pub applications: Vec<Application>,
    /// Line code.
    pub encoding: Option<Code>,
    /// How light is made.
    pub technology: Option<Code>,
    /// Symbol rate of one lane.
    pub rate: Option<Rate>,
    /// What rates the rate-select pins choose between (SFF-8472).
    pub rate_identifier: Option<Code>,
    /// Transmit wavelength. Absent for a cable.
    pub wavelength: Option<Wavelength>,
    /// What a tunable laser is set to (CMIS).
    pub tuned: Option<Tuned>,
    /// Reach by fiber.
    pub reaches: Vec<Reach>,
    /// Whether the module is one end of a cable.
    pub cable: Option<Cable>,
    /// Electrical power.
    pub power: Power,
    /// Least and greatest case temperature, where stated.
    pub case: [Option<DegreesCelsius>; 2],
    /// What the module is doing (CMIS).
    pub state: Option<Code>,
    /// Options that the module says it has.
    pub options: Vec<&'static str>,
    /// Check codes.
    pub checksums: Vec<Checksum>,
    /// Readings and thresholds.
    pub diagnostics: Result<Diagnostics, NoDiagnostics>,
}

/// A symbol rate with how far it may be left.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rate {
    /// Nominal.
    pub nominal: Megabaud,
    /// How far below and above the module works, where stated.
    pub spread: Option<(Percent, Percent)>,
}

/// A transmit wavelength. A module of several wavelengths states the middle one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Wavelength {
    /// Nominal.
    pub nominal: Nanometers,
    /// How far the true one may lie from it, where stated.
    pub tolerance: Option<Nanometers>,
}

/// Reach on one fiber.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// `single-mode`, `OM1` to `OM5`.
    pub fiber: &'static str,
    /// How far.
    pub length: Kilometers,
    /// Whether the field is full: it reaches farther than it can say.
    pub or_more: bool,
}

/// One end of a cable that is not parted from the module.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cable {
    /// Its length, where stated.
    pub length: Option<Kilometers>,
}

/// How much electrical power the module may take.
#[derive(Debug, Clone, PartialEq)]
pub struct Power {
    /// Its class or level.
    pub class: Code,
    /// The most it takes: what the memory states, else what the class allows.
    pub most: Option<Watts>,
}

/// Why bytes are not the memory of a module that can be read.
#[derive(Debug, Clone, PartialEq)]
pub enum NoMemory {
    /// No byte, or all bytes 00h, or all FFh: the module was not read.
    Blank,
    /// The identifier names no map that is known here; its code.
    UnknownMap(Code),
    /// The dump ends before the fields that identify the module.
    Short {
        /// The map.
        map: Map,
        /// The block that is missing or ends too early.
        block: Block,
        /// The address of the last byte that is needed.
        last: usize,
    },
}

/// Decodes a memory.
///
/// # Errors
/// [`NoMemory`] when the bytes are blank, of an unknown map, or end before the module is identified.
pub fn decode(image: &Image, tables: &Tables) -> Result<Memory, NoMemory> {
    if bytes::is_blank(image.bytes()) {
        return Err(NoMemory::Blank);
    }
    let short = |map: Map| {
        let (block, last) = map.least();
        NoMemory::Short { map, block, last }
    };
    let identifier = image.block(Block::Lower).and_then(|lower| lower.u8(0));
    let raw = identifier.ok_or_else(|| short(Map::Sff8472))?;
    let identifier = Code::value(tables, "SFF-8024", "identifier", raw);
    let Some(map) = Map::of(raw) else { return Err(NoMemory::UnknownMap(identifier)) };
    let decoded = match map {
        Map::Sff8472 => sff8472::decode(image, identifier, tables),
        Map::Sff8636 => sff8636::decode(image, identifier, tables),
        Map::Cmis => cmis::decode(image, identifier, tables),
    };
    decoded.ok_or_else(|| short(map))
}

/// A reach, unless it is zero (not stated).
fn reach(fiber: &'static str, raw: u8, meters_a_step: f64) -> Option<Reach> {
    let length = Kilometers::from_meters(f64::from(raw) * meters_a_step);
    (raw > 0).then_some(Reach { fiber, length, or_more: raw == u8::MAX })
}
