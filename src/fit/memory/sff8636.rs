//! SFF-8636: lower memory says what the module measures, page 00h what it is, page 03h its
//! thresholds.

use super::bytes::{Block, Image, View};
use super::calibration::Calibration;
use super::checksum::Checksum;
use super::codes::Code;
use super::diagnostics::{Diagnostics, Lane, NoDiagnostics, Raised, ReceiveTerms};
use super::identity::{Fields, Identity};
use super::map::Map;
use super::thresholds::{Limit, Quantity, Thresholds, limits};
use super::{Cable, Memory, Power, Rate, Reach, Wavelength, reach};
use crate::tables::Tables;
use crate::units::{DegreesCelsius, Kilometers, Megabaud, Nanometers, Watts};

const STANDARD: &str = Map::Sff8636.name();
const LANES: u8 = 4;

const FIELDS: Fields = Fields {
    vendor: (148, 163),
    oui: 165,
    part_number: (168, 183),
    revision: (184, 185),
    serial_number: (196, 211),
    date: 212,
};

pub(super) fn decode(image: &Image, identifier: Code, tables: &Tables) -> Option<Memory> {
    let lower = image.block(Block::Lower)?;
    let page = image.block(Block::Upper(0))?;
    let code = |standard, field: &str, raw: u8| Some(Code::value(tables, standard, field, raw));
    let connector = page.u8(130)?;
    let technology = page.u8(147)? >> 4;
    let cable = cable(page, connector, technology)?;
    Some(Memory {
        map: Map::Sff8636,
        revision: code(STANDARD, "revision", lower.u8(1)?),
        identifier,
        connector: code("SFF-8024", "connector", connector),
        identity: Identity::read(page, &FIELDS)?,
        compliance: compliance(page, tables)?,
        media_type: None,
        applications: Vec::new(),
        encoding: code(STANDARD, "encoding", page.u8(139)?),
        technology: code(STANDARD, "transmitter-technology", technology),
        rate: rate(page)?,
        rate_identifier: None,
        wavelength: wavelength(page, cable)?,
        tuned: None,
        reaches: reaches(page, cable)?,
        cable,
        power: power(lower, page, tables)?,
        case: [None, case(page, cable)?],
        state: None,
        options: options(page)?,
        checksums: vec![
            Checksum::of(page, "CC_BASE", (128, 190))?,
            Checksum::of(page, "CC_EXT", (192, 222))?,
        ],
        diagnostics: diagnostics(lower, page, image.block(Block::Upper(3))),
    })
}

fn compliance(page: View<'_>, tables: &Tables) -> Option<Vec<Code>> {
    let extended = page.u8(192)?;
    let mut codes = Vec::new();
    if extended != 0 {
        codes.push(Code::value(tables, "SFF-8024", "extended-compliance", extended));
    }
    for byte in 131..=138 {
        codes.extend(Code::bits(tables, STANDARD, byte, page.u8(byte)?));
    }
    // Bit 7 of byte 131 only says that there is an extended code.
    codes.retain(|code| code.place() != "byte 131 bit 7");
    Some(codes)
}

/// No separable connector, or a copper transmitter: byte 146 is then the cable's length in meters.
fn cable(page: View<'_>, connector: u8, technology: u8) -> Option<Option<Cable>> {
    const NO_CONNECTOR: u8 = 0x23;
    const COPPER: u8 = 0x0A;
    let length = Some(page.u8(146)?).filter(|meters| *meters > 0);
    let length = length.map(|meters| Kilometers::from_meters(f64::from(meters)));
    Some((connector == NO_CONNECTOR || technology >= COPPER).then_some(Cable { length }))
}

/// Byte 140 in 100 MBd; FFh: byte 222 in 250 MBd.
fn rate(page: View<'_>) -> Option<Option<Rate>> {
    let steps = match page.u8(140)? {
        u8::MAX => f64::from(page.u8(222)?) * 250.0,
        steps => f64::from(steps) * 100.0,
    };
    Some((steps > 0.0).then_some(Rate { nominal: Megabaud::new(steps), spread: None }))
}

/// Steps of 0.05 nm, tolerance in steps of 0.005 nm. For copper the same bytes are attenuations.
fn wavelength(page: View<'_>, cable: Option<Cable>) -> Option<Option<Wavelength>> {
    let (nominal, tolerance) = (page.u16(186)?, page.u16(188)?);
    let wavelength = Wavelength {
        nominal: Nanometers::new(f64::from(nominal) / 20.0),
        tolerance: (tolerance > 0).then(|| Nanometers::new(f64::from(tolerance) / 200.0)),
    };
    Some((cable.is_none() && nominal > 0).then_some(wavelength))
}

fn reaches(page: View<'_>, cable: Option<Cable>) -> Option<Vec<Reach>> {
    const FIBERS: [(&str, usize, f64); 5] = [
        ("single-mode", 142, 1000.0),
        ("OM1", 145, 1.0),
        ("OM2", 144, 1.0),
        ("OM3", 143, 2.0),
        ("OM4", 146, 2.0),
    ];
    let mut reaches = Vec::new();
    for (fiber, at, meters) in FIBERS {
        let is_length_of_cable = at == 146 && cable.is_some();
        reaches.extend(reach(fiber, page.u8(at)?, meters).filter(|_| !is_length_of_cable));
    }
    Some(reaches)
}

/// Bit 5 of byte 129: class 8, with its power in byte 107 (from memory); else bits 7, 6, 1 and 0.
fn power(lower: View<'_>, page: View<'_>, tables: &Tables) -> Option<Power> {
    const CLASS_8: u8 = 0x20;
    let byte = page.u8(129)?;
    let eight = byte & CLASS_8 != 0;
    let class = Code::value(tables, STANDARD, "power-class", if eight { CLASS_8 } else { byte & 0xC3 });
    let stated = eight.then(|| lower.u8(107)).flatten().filter(|tenths| *tenths > 0);
    let stated = stated.map(|tenths| Watts::new(f64::from(tenths) / 10.0));
    let allowed = class.row.and_then(|row| tables.module_codes.row(row).value.watts);
    Some(Power { class, most: stated.or(allowed) })
}

/// Greatest case temperature; 0 stands for 70 degrees (from memory).
fn case(page: View<'_>, cable: Option<Cable>) -> Option<Option<DegreesCelsius>> {
    let degrees = match page.u8(190)? {
        0 => 70,
        stated => stated,
    };
    Some(cable.is_none().then(|| DegreesCelsius::new(f64::from(degrees))))
}

fn options(page: View<'_>) -> Option<Vec<&'static str>> {
    const OPTIONS: [(usize, u8, &str); 5] = [
        (129, 3, "transmit retimer"),
        (129, 2, "receive retimer"),
        (147, 2, "cooled laser"),
        (147, 1, "APD receiver"),
        (147, 0, "tunable"),
    ];
    let set = |(byte, bit, word): &(usize, u8, &'static str)| Some((page.bit(*byte, *bit)?, *word));
    let read: Option<Vec<_>> = OPTIONS.iter().map(set).collect();
    Some(read?.into_iter().filter(|(set, _)| *set).map(|(_, word)| word).collect())
}

fn diagnostics(
    lower: View<'_>,
    page: View<'_>,
    third: Option<View<'_>>,
) -> Result<Diagnostics, NoDiagnostics> {
    let missing = NoDiagnostics::NotInDump(Block::Lower);
    // A module without monitors, such as a passive cable, leaves all of them zero.
    let readings = lower.range(22, 57).ok_or(missing)?;
    if readings.iter().all(|byte| *byte == 0) {
        return Err(NoDiagnostics::NotImplemented);
    }
    measured(lower, page, third).ok_or(missing)
}

fn measured(lower: View<'_>, page: View<'_>, third: Option<View<'_>>) -> Option<Diagnostics> {
    let plain = Calibration::PLAIN;
    let transmits = page.bit(220, 2)?;
    let lane = |index: u8| {
        let at = |first: usize| first + 2 * usize::from(index);
        let transmit = plain.transmit(lower.u16(at(50))?);
        Some(Lane {
            number: index + 1,
            bias: Some(plain.bias(lower.u16(at(42))?)),
            transmit: transmit.filter(|_| transmits),
            receive: plain.receive(lower.u16(at(34))?),
            loss_of_signal: lower.bit(3, index),
            transmit_fault: lower.bit(4, index),
        })
    };
    Some(Diagnostics {
        receive_terms: ReceiveTerms::of(page.bit(220, 3)?),
        ready: !lower.bit(2, 0)?,
        temperature: Some(plain.temperature(lower.u16(22)?)),
        voltage: Some(plain.voltage(lower.u16(26)?)),
        lanes: (0..LANES).map(lane).collect::<Option<_>>()?,
        thresholds: third.map_or_else(Thresholds::default, |third| thresholds(third, &plain, transmits)),
        raised: raised(lower)?,
        calibration: plain,
    })
}

fn thresholds(third: View<'_>, plain: &Calibration, transmits: bool) -> Thresholds {
    Thresholds {
        temperature: limits(third, 128, |raw| Some(plain.temperature(raw))),
        voltage: limits(third, 144, |raw| Some(plain.voltage(raw))),
        receive: limits(third, 176, |raw| plain.receive(raw)),
        bias: limits(third, 184, |raw| Some(plain.bias(raw))),
        transmit: limits(third, 192, |raw| plain.transmit(raw)).filter(|_| transmits),
    }
}

/// Flags, four a nibble: high alarm, low alarm, high warning, low warning. Bytes 6 and 7: module
/// (high nibble); 9 to 14: received light, bias, transmitted light, two lanes a byte, the odd lane
/// in the high nibble (order of the quantities from memory).
fn raised(lower: View<'_>) -> Option<Vec<Raised>> {
    let nibble =
        |at: usize, high: bool| lower.u8(at).map(|byte| if high { byte >> 4 } else { byte & 0xF });
    let mut all = vec![
        (Quantity::Temperature, None, nibble(6, true)?),
        (Quantity::Voltage, None, nibble(7, true)?),
    ];
    for (quantity, first) in [(Quantity::Receive, 9), (Quantity::Bias, 11), (Quantity::Transmit, 13)] {
        for lane in 0..LANES {
            let flags = nibble(first + usize::from(lane / 2), lane % 2 == 0)?;
            all.push((quantity, Some(lane + 1), flags));
        }
    }
    let raised = all.into_iter().flat_map(|(quantity, lane, flags)| {
        let set = Limit::ALL.into_iter().zip([8, 4, 2, 1]).filter(move |(_, bit)| flags & bit != 0);
        set.map(move |(limit, _)| Raised { quantity, lane, limit })
    });
    Some(raised.collect())
}
