//! CMIS: lower memory and page 00h say what the module is and can be set to, page 01h what it
//! reaches and measures, page 02h its thresholds, page 11h its lanes, page 12h what it is tuned to.

use super::bytes::{Block, Image, View};
use super::calibration::Calibration;
use super::checksum::Checksum;
use super::codes::Code;
use super::diagnostics::{Diagnostics, Lane, NoDiagnostics, ReceiveTerms};
use super::identity::{Fields, Identity};
use super::map::Map;
use super::thresholds::{Thresholds, limits};
use super::{Cable, Memory, Power, Reach, Wavelength, reach};
use crate::tables::{CodeAt, Tables};
use crate::units::{DegreesCelsius, Kilometers, Nanometers, Terahertz, Watts};

const STANDARD: &str = Map::Cmis.name();
const LANES: u8 = 8;

const FIELDS: Fields = Fields {
    vendor: (129, 144),
    oui: 145,
    part_number: (148, 163),
    revision: (164, 165),
    serial_number: (166, 181),
    date: 182,
};

/// One way a module can be used.
#[derive(Debug, Clone, PartialEq)]
pub struct Application {
    /// Interface towards the card.
    pub host: Code,
    /// Interface towards the fiber.
    pub media: Code,
    /// Electrical lanes it takes; 0 = told by the host interface.
    pub host_lanes: u8,
    /// Optical lanes it takes; 0 = told by the media interface.
    pub media_lanes: u8,
    /// On how many host lanes it may start, that is, how often the module can be so used at once.
    pub times: u8,
}

/// What a tunable laser is set to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tuned {
    /// Frequency of the first lane now.
    pub frequency: Terahertz,
    /// Whether the laser has reached it and holds it.
    pub locked: bool,
}

pub(super) fn decode(image: &Image, identifier: Code, tables: &Tables) -> Option<Memory> {
    let lower = image.block(Block::Lower)?;
    let page = image.block(Block::Upper(0))?;
    let [first, second, lanes, laser] =
        [0x01, 0x02, 0x11, 0x12].map(|page| image.block(Block::Upper(page)));
    let code = |standard, field: &str, raw: u8| Some(Code::value(tables, standard, field, raw));
    let media_type = lower.u8(85)?;
    let connector = page.u8(203)?;
    let cable = cable(page, media_type, connector)?;
    let applications = applications(lower, first, media_type, tables)?;
    Some(Memory {
        map: Map::Cmis,
        revision: Some(revision(lower.u8(1)?)),
        identifier,
        connector: code("SFF-8024", "connector", connector),
        identity: Identity::read(page, &FIELDS)?,
        compliance: Vec::new(),
        media_type: code(STANDARD, "media-type", media_type),
        encoding: None,
        technology: code(STANDARD, "transmitter-technology", page.u8(212)?),
        rate: None,
        rate_identifier: None,
        wavelength: first.and_then(|first| wavelength(first, cable)),
        tuned: laser.and_then(tuned),
        reaches: first.map_or_else(Vec::new, |first| reaches(first, cable)),
        cable,
        power: power(page, tables)?,
        case: first.map_or([None; 2], case),
        state: code(STANDARD, "module-state", lower.u8(3)? >> 1 & 0b111),
        options: Vec::new(),
        checksums: checksums(page, first, second)?,
        diagnostics: diagnostics(lower, first, second, lanes, lane_count(&applications)),
        applications,
    })
}

/// Two nibbles: 50h is 5.0.
fn revision(raw: u8) -> Code {
    Code {
        standard: STANDARD,
        field: "revision".to_string(),
        at: CodeAt::Value(raw),
        meaning: (raw > 0).then(|| format!("{}.{}", raw >> 4, raw & 0xF)),
        row: None,
    }
}

/// Media types 03h (passive copper) and 04h (active cable), or no separable connector. Byte 202:
/// two bits of multiplier, six of length.
fn cable(page: View<'_>, media_type: u8, connector: u8) -> Option<Option<Cable>> {
    const NO_CONNECTOR: u8 = 0x23;
    let stated = page.u8(202)?;
    let step = [0.1, 1.0, 10.0, 100.0][usize::from(stated >> 6)];
    let meters = f64::from(stated & 0x3F) * step;
    let length = (meters > 0.0).then(|| Kilometers::from_meters(meters));
    let is_cable = matches!(media_type, 3 | 4) || connector == NO_CONNECTOR;
    Some(is_cable.then_some(Cable { length }))
}

/// Eight descriptors of four bytes from byte 86 of the lower memory, more on page 01h from 223.
/// Host FFh ends the list (from memory).
fn applications(
    lower: View<'_>,
    first: Option<View<'_>>,
    media_type: u8,
    tables: &Tables,
) -> Option<Vec<Application>> {
    const END: u8 = 0xFF;
    lower.range(86, 117)?;
    let here = (0..8).filter_map(|index| lower.range(86 + 4 * index, 89 + 4 * index));
    let more = (0..7).filter_map(|index| first?.range(223 + 4 * index, 226 + 4 * index));
    let used = here.chain(more).take_while(|bytes| bytes[0] != END).filter(|bytes| bytes[..2] != [0, 0]);
    let media_field = match media_type {
        1 => "media-multimode",
        2 => "media-single-mode",
        // Codes of cables and copper; no table has them.
        _ => "media-cable",
    };
    let application = |bytes: &[u8]| Application {
        host: Code::value(tables, "SFF-8024", "host-interface", bytes[0]),
        media: Code::value(tables, "SFF-8024", media_field, bytes[1]),
        host_lanes: bytes[2] >> 4,
        media_lanes: bytes[2] & 0xF,
        times: bytes[3].count_ones() as u8,
    };
    Some(used.map(application).collect())
}

/// Optical lanes that some application uses; all, where none says how many.
fn lane_count(applications: &[Application]) -> u8 {
    let stated = |one: &Application| (one.media_lanes > 0).then(|| one.media_lanes * one.times.max(1));
    let most = applications.iter().map(stated).collect::<Option<Vec<u8>>>();
    most.and_then(|lanes| lanes.into_iter().max()).map_or(LANES, |lanes| lanes.min(LANES))
}

/// Byte 201 in 0.25 W goes before the class.
fn power(page: View<'_>, tables: &Tables) -> Option<Power> {
    let class = Code::value(tables, STANDARD, "power-class", page.u8(200)? >> 5);
    let stated = Some(page.u8(201)?).filter(|quarters| *quarters > 0);
    let stated = stated.map(|quarters| Watts::new(f64::from(quarters) / 4.0));
    let allowed = class.row.and_then(|row| tables.module_codes.row(row).value.watts);
    Some(Power { class, most: stated.or(allowed) })
}

fn checksums(
    page: View<'_>,
    first: Option<View<'_>>,
    second: Option<View<'_>>,
) -> Option<Vec<Checksum>> {
    let mut checksums = vec![Checksum::of(page, "page 00h", (128, 221))?];
    checksums.extend(first.and_then(|first| Checksum::of(first, "page 01h", (130, 254))));
    checksums.extend(second.and_then(|second| Checksum::of(second, "page 02h", (128, 254))));
    Some(checksums)
}

/// Steps of 0.05 nm, tolerance in steps of 0.005 nm (scales from memory).
fn wavelength(first: View<'_>, cable: Option<Cable>) -> Option<Wavelength> {
    let (nominal, tolerance) = (first.u16(138)?, first.u16(140)?);
    (cable.is_none() && nominal > 0).then(|| Wavelength {
        nominal: Nanometers::new(f64::from(nominal) / 20.0),
        tolerance: (tolerance > 0).then(|| Nanometers::new(f64::from(tolerance) / 200.0)),
    })
}

/// Single-mode: two bits of multiplier (0.1 or 1 km), six of length. Multimode scales from memory.
fn reaches(first: View<'_>, cable: Option<Cable>) -> Vec<Reach> {
    const FIBERS: [(&str, usize, f64); 4] =
        [("OM2", 136, 1.0), ("OM3", 135, 2.0), ("OM4", 134, 2.0), ("OM5", 133, 2.0)];
    /// 63 km, the most the field can say.
    const FULL: u8 = 0x7F;
    if cable.is_some() {
        return Vec::new();
    }
    let single = first.u8(132).and_then(|stated| {
        let step = [0.1, 1.0].get(usize::from(stated >> 6))?;
        let length = Kilometers::new(f64::from(stated & 0x3F) * step);
        let or_more = stated == FULL;
        (length > Kilometers::ZERO).then_some(Reach { fiber: "single-mode", length, or_more })
    });
    let multimode =
        FIBERS.iter().filter_map(|(fiber, at, meters)| reach(fiber, first.u8(*at)?, *meters));
    single.into_iter().chain(multimode).collect()
}

/// Greatest and least case temperature in whole degrees, signed (from memory); both 0: not stated.
fn case(first: View<'_>) -> [Option<DegreesCelsius>; 2] {
    let degrees = |at| first.u8(at).map(|raw| f64::from(raw.cast_signed()));
    match (degrees(147), degrees(146)) {
        (Some(least), Some(most)) if least != 0.0 || most != 0.0 => {
            [Some(DegreesCelsius::new(least)), Some(DegreesCelsius::new(most))]
        }
        _ => [None; 2],
    }
}

/// Page 12h: frequency of lane 1 in MHz, and whether it is held.
fn tuned(laser: View<'_>) -> Option<Tuned> {
    let megahertz = Some(laser.u32(168)?).filter(|megahertz| *megahertz > 0)?;
    let moving = laser.u8(222)? & 0b11 != 0;
    Some(Tuned { frequency: Terahertz::new(f64::from(megahertz) / 1e6), locked: !moving })
}

fn diagnostics(
    lower: View<'_>,
    first: Option<View<'_>>,
    second: Option<View<'_>>,
    page: Option<View<'_>>,
    count: u8,
) -> Result<Diagnostics, NoDiagnostics> {
    let missing = NoDiagnostics::NotInDump(Block::Lower);
    let (temperature, voltage) = lower.u16(14).zip(lower.u16(16)).ok_or(missing)?;
    if temperature == 0 && voltage == 0 {
        return Err(NoDiagnostics::NotImplemented);
    }
    // Without page 01h nobody knows which lanes' readings mean something, nor the scale of the bias.
    let monitors = first.and_then(Monitors::read);
    let calibration = monitors.map_or(Calibration::PLAIN, Monitors::calibration);
    let lanes = page.zip(monitors).map_or_else(Vec::new, |(page, monitors)| {
        (0..count).filter_map(|index| lane(page, monitors, &calibration, index)).collect()
    });
    let plain = &calibration;
    let thresholds = second.map_or_else(Thresholds::default, |second| Thresholds {
        temperature: limits(second, 128, |raw| Some(plain.temperature(raw))),
        voltage: limits(second, 136, |raw| Some(plain.voltage(raw))),
        // Transmitted light stands before received light here, the reverse of SFF-8636.
        transmit: limits(second, 176, |raw| plain.transmit(raw)),
        bias: limits(second, 184, |raw| Some(plain.bias(raw))).filter(|_| monitors.is_some()),
        receive: limits(second, 192, |raw| plain.receive(raw)),
    });
    Ok(Diagnostics {
        receive_terms: ReceiveTerms::of(monitors.is_some_and(|monitors| monitors.average)),
        ready: true,
        temperature: Some(plain.temperature(temperature)),
        voltage: Some(plain.voltage(voltage)),
        lanes,
        thresholds,
        raised: Vec::new(),
        calibration,
    })
}

/// What page 01h says of the lanes' readings.
#[derive(Debug, Clone, Copy)]
struct Monitors {
    average: bool,
    bias: bool,
    transmit: bool,
    receive: bool,
    bias_scale: u8,
}

impl Monitors {
    /// Byte 160: bits 0 to 2 what is measured, bits 4 and 3 the scale of the bias.
    fn read(first: View<'_>) -> Option<Self> {
        let measured = first.u8(160)?;
        Some(Self {
            average: first.bit(151, 4)?,
            bias: measured & 1 != 0,
            transmit: measured & 2 != 0,
            receive: measured & 4 != 0,
            bias_scale: 1 << (measured >> 3 & 0b11).min(2),
        })
    }

    fn calibration(self) -> Calibration {
        Calibration::Internal { bias_scale: self.bias_scale }
    }
}

/// Page 11h: transmitted light from 154, bias from 170, received light from 186; one bit a lane:
/// loss of signal at 147, failed transmitter at 135.
fn lane(page: View<'_>, monitors: Monitors, calibration: &Calibration, index: u8) -> Option<Lane> {
    let at = |first: usize| page.u16(first + 2 * usize::from(index));
    Some(Lane {
        number: index + 1,
        bias: Some(calibration.bias(at(170)?)).filter(|_| monitors.bias),
        transmit: calibration.transmit(at(154)?).filter(|_| monitors.transmit),
        receive: calibration.receive(at(186)?).filter(|_| monitors.receive),
        loss_of_signal: page.bit(147, index),
        transmit_fault: page.bit(135, index),
    })
}
