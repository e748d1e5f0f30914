//! SFF-8472: A0h says what the module is, A2h what it measures.

use super::bytes::{Block, Image, View};
use super::calibration::{Calibration, External};
use super::checksum::Checksum;
use super::codes::Code;
use super::diagnostics::{Diagnostics, Lane, NoDiagnostics, Raised, ReceiveTerms};
use super::identity::{Fields, Identity};
use super::map::Map;
use super::thresholds::{Limit, Quantity, Thresholds, limits};
use super::{Cable, Memory, Power, Rate, Reach, Wavelength, reach};
use crate::tables::Tables;
use crate::units::{Kilometers, Megabaud, Nanometers, Percent, Watts};

const STANDARD: &str = Map::Sff8472.name();

const FIELDS: Fields = Fields {
    vendor: (20, 35),
    oui: 37,
    part_number: (40, 55),
    revision: (56, 59),
    serial_number: (68, 83),
    date: 84,
};

pub(super) fn decode(image: &Image, identifier: Code, tables: &Tables) -> Option<Memory> {
    let a0 = image.block(Block::Lower)?;
    let a2 = image.block(Block::SecondLower);
    let code = |field: &str, at: usize| Some(Code::value(tables, STANDARD, field, a0.u8(at)?));
    let cable = cable(a0)?;
    let measures = a0.bit(92, 6)?;
    let mut checksums =
        vec![Checksum::of(a0, "CC_BASE", (0, 62))?, Checksum::of(a0, "CC_EXT", (64, 94))?];
    if let Some(a2) = a2.filter(|a2| measures && !a2.is_blank()) {
        checksums.extend(Checksum::of(a2, "CC_DMI", (0, 94)));
    }
    Some(Memory {
        map: Map::Sff8472,
        revision: code("revision", 94),
        identifier,
        connector: Some(Code::value(tables, "SFF-8024", "connector", a0.u8(2)?)),
        identity: Identity::read(a0, &FIELDS)?,
        compliance: compliance(a0, tables)?,
        media_type: None,
        applications: Vec::new(),
        encoding: code("encoding", 11),
        technology: None,
        rate: rate(a0)?,
        rate_identifier: code("rate-identifier", 13).filter(|code| code.raw() != Some(0)),
        wavelength: wavelength(a0, cable)?,
        tuned: None,
        reaches: reaches(a0, cable)?,
        cable,
        power: power(a0, tables)?,
        case: [None; 2],
        state: None,
        options: options(a0)?,
        checksums,
        diagnostics: if measures { diagnostics(a0, a2) } else { Err(NoDiagnostics::NotImplemented) },
    })
}

fn compliance(a0: View<'_>, tables: &Tables) -> Option<Vec<Code>> {
    let extended = a0.u8(36)?;
    let mut codes = Vec::new();
    if extended != 0 {
        codes.push(Code::value(tables, "SFF-8024", "extended-compliance", extended));
    }
    for byte in 3..=10 {
        codes.extend(Code::bits(tables, STANDARD, byte, a0.u8(byte)?));
    }
    Some(codes)
}

/// Bits 2 and 3 of byte 8: passive and active cable. Byte 18 is then its length in meters.
fn cable(a0: View<'_>) -> Option<Option<Cable>> {
    let length = Some(a0.u8(18)?).filter(|meters| *meters > 0);
    let length = length.map(|meters| Kilometers::from_meters(f64::from(meters)));
    Some((a0.u8(8)? & 0x0C != 0).then_some(Cable { length }))
}

/// Byte 12 in 100 MBd; FFh: byte 66 in 250 MBd, with byte 67 percent either way (from memory).
fn rate(a0: View<'_>) -> Option<Option<Rate>> {
    let percent = |at: usize| Some(Percent::new(f64::from(a0.u8(at)?)));
    let full = a0.u8(12)? == u8::MAX;
    let steps = if full { f64::from(a0.u8(66)?) * 250.0 } else { f64::from(a0.u8(12)?) * 100.0 };
    let spread = if full { (percent(67)?, percent(67)?) } else { (percent(67)?, percent(66)?) };
    // At power level 4, byte 66 is a power.
    let stated = (a0.u8(66)? != 0 || a0.u8(67)? != 0) && !a0.bit(64, 6)?;
    let rate = Rate { nominal: Megabaud::new(steps), spread: stated.then_some(spread) };
    Some((steps > 0.0).then_some(rate))
}

fn wavelength(a0: View<'_>, cable: Option<Cable>) -> Option<Option<Wavelength>> {
    let stated = a0.u16(60)?;
    let nominal = Nanometers::new(f64::from(stated));
    let optical = cable.is_none() && stated > 0;
    Some(optical.then_some(Wavelength { nominal, tolerance: None }))
}

fn reaches(a0: View<'_>, cable: Option<Cable>) -> Option<Vec<Reach>> {
    let mut reaches: Vec<Reach> = single_mode(a0)?.into_iter().collect();
    for (fiber, at) in [("OM1", 17), ("OM2", 16), ("OM3", 19), ("OM4", 18)] {
        let is_length_of_cable = at == 18 && cable.is_some();
        reaches.extend(reach(fiber, a0.u8(at)?, 10.0).filter(|_| !is_length_of_cable));
    }
    Some(reaches)
}

/// Byte 14 in km and byte 15 in 100 m state one reach; the finer is taken where it is not full and
/// does not contradict the coarser.
fn single_mode(a0: View<'_>) -> Option<Option<Reach>> {
    let coarse = reach("single-mode", a0.u8(14)?, 1000.0);
    let fine = reach("single-mode", a0.u8(15)?, 100.0);
    Some(match (coarse, fine) {
        (Some(coarse), Some(fine)) => {
            let apart = (coarse.length - fine.length).value().abs();
            Some(if fine.or_more || apart >= 1.0 { coarse } else { fine })
        }
        (coarse, fine) => coarse.or(fine),
    })
}

/// Bits 6 (from memory), 5 and 1 of byte 64, the highest first; at level 4 byte 66 states the
/// power in 0.1 W (from memory).
fn power(a0: View<'_>, tables: &Tables) -> Option<Power> {
    let options = a0.u8(64)?;
    let level = [0x40, 0x20, 0x02].into_iter().find(|bit| options & bit != 0).unwrap_or(0);
    let class = Code::value(tables, STANDARD, "power-level", level);
    let stated = (level == 0x40).then(|| a0.u8(66)).flatten().filter(|tenths| *tenths > 0);
    let stated = stated.map(|tenths| Watts::new(f64::from(tenths) / 10.0));
    let allowed = class.row.and_then(|row| tables.module_codes.row(row).value.watts);
    Some(Power { class, most: stated.or(allowed) })
}

fn options(a0: View<'_>) -> Option<Vec<&'static str>> {
    const OPTIONS: [(usize, u8, &str); 11] = [
        (64, 4, "pages"),
        (64, 3, "retimer"),
        (64, 2, "cooled laser"),
        (64, 0, "linear receiver"),
        (65, 7, "decision threshold"),
        (65, 6, "tunable"),
        (65, 5, "RATE_SELECT"),
        (65, 4, "TX_DISABLE"),
        (65, 3, "TX_FAULT"),
        (65, 2, "RX_LOS inverted"),
        (65, 1, "RX_LOS"),
    ];
    let set = |(byte, bit, word): &(usize, u8, &'static str)| Some((a0.bit(*byte, *bit)?, *word));
    let read: Option<Vec<_>> = OPTIONS.iter().map(set).collect();
    Some(read?.into_iter().filter(|(set, _)| *set).map(|(_, word)| word).collect())
}

fn diagnostics(a0: View<'_>, a2: Option<View<'_>>) -> Result<Diagnostics, NoDiagnostics> {
    let missing = NoDiagnostics::NotInDump(Block::SecondLower);
    let a2 = a2.ok_or(missing)?;
    if a2.is_blank() {
        return Err(NoDiagnostics::NotRead(Block::SecondLower));
    }
    let kind = |bit| a0.bit(92, bit).ok_or(missing);
    let calibration = match (kind(5)?, kind(4)?) {
        (true, false) => Calibration::PLAIN,
        (false, true) => Calibration::External(Box::new(External::read(a2).ok_or(missing)?)),
        (internal, _) => return Err(NoDiagnostics::CalibrationUnclear { both: internal }),
    };
    measured(a0, a2, calibration).ok_or(missing)
}

fn measured(a0: View<'_>, a2: View<'_>, calibration: Calibration) -> Option<Diagnostics> {
    let bias = |raw| Some(calibration.bias(raw));
    let receive = |raw| calibration.receive(raw);
    let thresholds = Thresholds {
        temperature: limits(a2, 0, |raw| Some(calibration.temperature(raw))),
        voltage: limits(a2, 8, |raw| Some(calibration.voltage(raw))),
        bias: limits(a2, 16, bias),
        transmit: limits(a2, 24, |raw| calibration.transmit(raw)),
        receive: limits(a2, 32, receive),
    };
    let lane = Lane {
        number: 1,
        bias: bias(a2.u16(100)?),
        transmit: calibration.transmit(a2.u16(102)?),
        receive: receive(a2.u16(104)?),
        loss_of_signal: if a0.bit(93, 4)? { a2.bit(110, 1) } else { None },
        transmit_fault: if a0.bit(93, 5)? { a2.bit(110, 2) } else { None },
    };
    Some(Diagnostics {
        receive_terms: ReceiveTerms::of(a0.bit(92, 3)?),
        ready: !a2.bit(110, 0)?,
        temperature: Some(calibration.temperature(a2.u16(96)?)),
        voltage: Some(calibration.voltage(a2.u16(98)?)),
        lanes: vec![lane],
        thresholds,
        raised: if a0.bit(93, 7)? { raised(a2)? } else { Vec::new() },
        calibration,
    })
}

/// Flags: bytes 112 and 113 alarms, 116 and 117 warnings, high before low, from bit 7 down.
fn raised(a2: View<'_>) -> Option<Vec<Raised>> {
    const QUANTITIES: [Quantity; 5] = [
        Quantity::Temperature,
        Quantity::Voltage,
        Quantity::Bias,
        Quantity::Transmit,
        Quantity::Receive,
    ];
    let mut raised = Vec::new();
    let kinds = [(112, Limit::HighAlarm, Limit::LowAlarm), (116, Limit::HighWarning, Limit::LowWarning)];
    for (at, high, low) in kinds {
        let flags = a2.u16(at)?;
        for (index, quantity) in QUANTITIES.into_iter().enumerate() {
            let lane = (index > 1).then_some(1);
            let pair = flags << (2 * index) >> 14;
            let one = |limit| Raised { quantity, lane, limit };
            raised.extend((pair & 0b10 != 0).then(|| one(high)));
            raised.extend((pair & 0b01 != 0).then(|| one(low)));
        }
    }
    Some(raised)
}
