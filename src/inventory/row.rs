//! One port, as small as it can be kept: a row of a hundred million.

use crate::units::{DecibelMilliwatts, Decibels, DegreesCelsius, Kilometers, Milliamperes};

/// Marks of a row; see [`Row::has`].
pub mod flag {
    /// Many cells do not hold what their columns stand for: the row is shifted.
    pub const SHIFTED: u32 = 1;
    /// The row has another number of cells than the heads.
    pub const RAGGED: u32 = 1 << 1;
    /// A cell cannot be read as what its column stands for.
    pub const UNREADABLE: u32 = 1 << 2;
    /// A value lies outside what is physically possible.
    pub const OUT_OF_RANGE: u32 = 1 << 3;
    /// The port's name was turned into a date or a number in powers of ten.
    pub const DAMAGED_PORT: u32 = 1 << 4;
    /// So was the far port's name.
    pub const DAMAGED_FAR: u32 = 1 << 5;
    /// So was an identifier.
    pub const DAMAGED_ID: u32 = 1 << 6;
    /// The receive level says dark.
    pub const DARK_RX: u32 = 1 << 7;
    /// The transmit level says dark.
    pub const DARK_TX: u32 = 1 << 8;
    /// The receive level is exactly zero, which may mean dark or 0 dBm.
    pub const ZERO_RX: u32 = 1 << 9;
    /// A far end is written that names no port.
    pub const FAR_UNCLEAR: u32 = 1 << 10;
    /// Two far ends stand in one cell.
    pub const TWO_FARS: u32 = 1 << 11;
    /// Something is written for the far end.
    pub const FAR_WRITTEN: u32 = 1 << 12;
    /// A jumper or its length is written, or an identifier of fibers that is damaged.
    pub const HAS_JUMPER: u32 = 1 << 13;
    /// The row has more cells than there are heads.
    pub const SURPLUS: u32 = 1 << 14;
    /// Cells do not stand under their heads.
    pub const MISPLACED: u32 = SHIFTED | SURPLUS;
    /// The note says that something is temporary or doubtful.
    pub const TEMPORARY: u32 = 1 << 15;
    /// A lane is dark while others are lit.
    pub const DARK_LANE: u32 = 1 << 16;
    /// No site is written.
    pub const NO_SITE: u32 = 1 << 17;
    /// No port is written.
    pub const NO_PORT: u32 = 1 << 18;
    /// The damaged name was restored from what the far end says.
    pub const RESTORED: u32 = 1 << 19;
    /// The cell of the serial number is not empty.
    pub const HAS_SERIAL: u32 = 1 << 21;
    /// A day was written that can be read in two ways.
    pub const DATE_UNCLEAR: u32 = 1 << 22;
    /// The supply voltage is none that a module works with.
    pub const SUPPLY_OFF: u32 = 1 << 23;
}

/// One port. Texts are ids or hashes; numbers are hundredths; what is not written is a mark.
///
/// 80 bytes: 16 for the names, 20 for fingerprints of identifiers (32 bits each: a hit is looked up
/// in the text before it is believed), 44 for ids and values.
#[derive(Debug, Clone, Copy)]
pub struct Row {
    /// Hash of the normal form of site and port; 0 = none.
    pub near: u64,
    /// Hash of the normal form of the far site and port; 0 = none.
    pub far: u64,
    /// Fingerprint of the serial number; 0 = none.
    pub serial: u32,
    /// Fingerprint of the circuit; 0 = none.
    pub circuit: u32,
    /// Fingerprint of site and frame position; 0 = none.
    pub frame: u32,
    /// Fingerprint of cable and strand, with the site where only numbers are written; 0 = none.
    pub strand: u32,
    /// Fingerprint of the jumper, with the site where only numbers are written; 0 = none.
    pub jumper: u32,
    /// First byte of the row in its chunk.
    pub offset: u32,
    /// Which words it shares with other rows.
    pub profile: u32,
    /// Which card it stands on.
    pub card: u32,
    /// Which site its far end stands in; [`Row::NO_ID`] = none.
    pub far_site: u32,
    /// Marks.
    pub flags: u32,
    /// Path in meters; [`Row::NO_ID`] = not written.
    pub path: u32,
    /// Transmit level, hundredths of dBm.
    pub tx: i16,
    /// Receive level of the weakest lit lane, hundredths of dBm.
    pub rx: i16,
    /// Loss of the path, hundredths of dB.
    pub loss: i16,
    /// Attenuator, hundredths of dB.
    pub pad: i16,
    /// Temperature, tenths of a degree.
    pub temperature: i16,
    /// Difference of the lanes' receive levels, hundredths of dB.
    pub spread: i16,
    /// Bias, hundredths of mA; 0 = not written.
    pub bias: u16,
    /// Days from 2000-01-01, [`Row::FIRST_DAY`] = that day, the next or before; 0 = not written.
    pub installed: u16,
    /// As `installed`.
    pub proven: u16,
    /// ONUs; [`Row::NO_COUNT`] = not written.
    pub onus: u16,
}

impl Row {
    /// A level, loss or temperature that is not written.
    pub const NONE: i16 = i16::MIN;
    /// An id or length that is not written.
    pub const NO_ID: u32 = u32::MAX;
    /// The first day that is kept; what lies before it is taken for it.
    pub const FIRST_DAY: u16 = 1;
    /// A count that is not written.
    pub const NO_COUNT: u16 = u16::MAX;
    /// A row of which nothing is known.
    pub const EMPTY: Self = Self {
        near: 0,
        far: 0,
        serial: 0,
        circuit: 0,
        frame: 0,
        strand: 0,
        jumper: 0,
        offset: 0,
        profile: 0,
        card: 0,
        far_site: Self::NO_ID,
        flags: 0,
        path: Self::NO_ID,
        tx: Self::NONE,
        rx: Self::NONE,
        loss: Self::NONE,
        pad: Self::NONE,
        temperature: Self::NONE,
        spread: 0,
        bias: 0,
        installed: 0,
        proven: 0,
        onus: Self::NO_COUNT,
    };

    /// Whether one of the marks is set.
    pub fn has(&self, mark: u32) -> bool {
        self.flags & mark != 0
    }

    /// Transmit level.
    pub fn transmit(&self) -> Option<DecibelMilliwatts> {
        hundredths(self.tx).map(DecibelMilliwatts::new)
    }

    /// Receive level of the weakest lit lane.
    pub fn receive(&self) -> Option<DecibelMilliwatts> {
        hundredths(self.rx).map(DecibelMilliwatts::new)
    }

    /// Loss of the path.
    pub fn path_loss(&self) -> Option<Decibels> {
        hundredths(self.loss).map(Decibels::new)
    }

    /// Attenuator at the receiver.
    pub fn attenuator(&self) -> Option<Decibels> {
        hundredths(self.pad).map(Decibels::new)
    }

    /// Length of the path.
    pub fn length(&self) -> Option<Kilometers> {
        (self.path != Self::NO_ID).then(|| Kilometers::from_meters(f64::from(self.path)))
    }

    /// Temperature of the module.
    pub fn module_temperature(&self) -> Option<DegreesCelsius> {
        (self.temperature != Self::NONE).then(|| DegreesCelsius::new(f64::from(self.temperature) / 10.0))
    }

    /// Bias of the laser.
    pub fn laser_bias(&self) -> Option<Milliamperes> {
        (self.bias != 0).then(|| Milliamperes::new(f64::from(self.bias) / 100.0))
    }

    /// Whether any light is read in or out.
    pub fn is_lit(&self) -> bool {
        self.tx != Self::NONE || self.rx != Self::NONE
    }
}

fn hundredths(value: i16) -> Option<f64> {
    (value != Row::NONE).then(|| f64::from(value) / 100.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The promise on memory stands on this figure.
    #[test]
    fn a_row_takes_80_bytes() {
        assert_eq!(size_of::<Row>(), 80);
    }

    #[test]
    fn what_is_not_written_is_not_a_number() {
        let mut row = Row::EMPTY;
        assert_eq!((row.transmit(), row.length(), row.laser_bias()), (None, None, None));
        row.tx = -790;
        assert_eq!(row.transmit(), Some(DecibelMilliwatts::new(-7.9)));
    }
}
