//! What a module measures of itself.

use super::bytes::Block;
use super::calibration::Calibration;
use super::thresholds::{Limit, Limits, Quantity, Thresholds};
use crate::units::{DegreesCelsius, Milliamperes, Milliwatts, Volts};

/// In which terms received light is measured.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ReceiveTerms {
    /// Average power.
    Average,
    /// Optical modulation amplitude.
    Modulation,
}

impl ReceiveTerms {
    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Average => "average power",
            Self::Modulation => "modulation amplitude (OMA)",
        }
    }

    pub(super) const fn of(average: bool) -> Self {
        if average { Self::Average } else { Self::Modulation }
    }
}

/// One lane of a module; what it does not measure is `None`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lane {
    /// Counted from 1.
    pub number: u8,
    /// Laser bias current.
    pub bias: Option<Milliamperes>,
    /// Transmitted light.
    pub transmit: Option<Milliwatts>,
    /// Received light.
    pub receive: Option<Milliwatts>,
    /// Whether the receiver says that it has lost the signal.
    pub loss_of_signal: Option<bool>,
    /// Whether the transmitter says that it has failed.
    pub transmit_fault: Option<bool>,
}

/// An alarm or warning that the module has raised and holds until it is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Raised {
    /// Of what.
    pub quantity: Quantity,
    /// On which lane, counted from 1; `None` for the module.
    pub lane: Option<u8>,
    /// Which threshold was crossed.
    pub limit: Limit,
}

/// Readings, thresholds and flags.
#[derive(Debug, Clone, PartialEq)]
pub struct Diagnostics {
    /// How the numbers were turned into results.
    pub calibration: Calibration,
    /// In which terms received light is measured.
    pub receive_terms: ReceiveTerms,
    /// Whether the module says that its readings are valid yet.
    pub ready: bool,
    /// Temperature of the module.
    pub temperature: Option<DegreesCelsius>,
    /// Supply voltage.
    pub voltage: Option<Volts>,
    /// Readings by lane.
    pub lanes: Vec<Lane>,
    /// Alarm and warning thresholds.
    pub thresholds: Thresholds,
    /// Flags the module holds.
    pub raised: Vec<Raised>,
}

/// Why there are no diagnostics.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoDiagnostics {
    /// The module measures nothing of itself.
    NotImplemented,
    /// The dump ends before them.
    NotInDump(Block),
    /// The dump has nothing but 00h or FFh there.
    NotRead(Block),
    /// The module does not say in which of the two ways it is calibrated, or says both (SFF-8472).
    CalibrationUnclear {
        /// Whether both ways are claimed.
        both: bool,
    },
}

/// A reading or a threshold of any quantity.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub enum Reading {
    /// A temperature.
    Temperature(DegreesCelsius),
    /// A voltage.
    Voltage(Volts),
    /// A current.
    Current(Milliamperes),
    /// Light.
    Light(Milliwatts),
}

impl std::fmt::Display for Reading {
    /// Light as a level in dBm; no light as `dark`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Temperature(value) => value.fmt(f),
            Self::Voltage(value) => value.fmt(f),
            Self::Current(value) => value.fmt(f),
            Self::Light(value) => match value.level() {
                Some(level) => level.fmt(f),
                None => f.write_str("dark"),
            },
        }
    }
}

/// A reading beyond a threshold of its own module.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Crossing {
    /// Of what.
    pub quantity: Quantity,
    /// On which lane; `None` for the module.
    pub lane: Option<u8>,
    /// The reading.
    pub reading: Reading,
    /// Which threshold.
    pub limit: Limit,
    /// The threshold.
    pub threshold: Reading,
}

impl Lane {
    /// Its readings in the order of [`Quantity`].
    pub fn readings(&self) -> impl Iterator<Item = (Quantity, Reading)> + use<> {
        [
            self.bias.map(|value| (Quantity::Bias, Reading::Current(value))),
            self.transmit.map(|value| (Quantity::Transmit, Reading::Light(value))),
            self.receive.map(|value| (Quantity::Receive, Reading::Light(value))),
        ]
        .into_iter()
        .flatten()
    }
}

impl Thresholds {
    /// Those that the module states, in the order of [`Quantity`].
    pub fn stated(&self) -> Vec<(Quantity, Limits<Reading>)> {
        let temperature = self.temperature.map(|limits| limits.map(Reading::Temperature));
        let voltage = self.voltage.map(|limits| limits.map(Reading::Voltage));
        let bias = self.bias.map(|limits| limits.map(Reading::Current));
        let [transmit, receive] =
            [self.transmit, self.receive].map(|limits| limits.map(|limits| limits.map(Reading::Light)));
        [
            (Quantity::Temperature, temperature),
            (Quantity::Voltage, voltage),
            (Quantity::Bias, bias),
            (Quantity::Transmit, transmit),
            (Quantity::Receive, receive),
        ]
        .into_iter()
        .filter_map(|(quantity, limits)| Some((quantity, limits?)))
        .collect()
    }
}

impl Diagnostics {
    /// Every reading with its quantity and lane: the module's first, then lane by lane.
    pub fn readings(&self) -> Vec<(Quantity, Option<u8>, Reading)> {
        let temperature =
            self.temperature.map(|t| (Quantity::Temperature, None, Reading::Temperature(t)));
        let voltage = self.voltage.map(|v| (Quantity::Voltage, None, Reading::Voltage(v)));
        let lanes = self.lanes.iter().flat_map(|lane| {
            lane.readings().map(|(quantity, reading)| (quantity, Some(lane.number), reading))
        });
        temperature.into_iter().chain(voltage).chain(lanes).collect()
    }

    /// Readings beyond the module's own thresholds. Thresholds out of order are not compared with.
    pub fn crossings(&self) -> Vec<Crossing> {
        let stated = self.thresholds.stated();
        let crossing = |(quantity, lane, reading): (Quantity, Option<u8>, Reading)| {
            let (_, limits) = stated.iter().find(|(of, _)| *of == quantity)?;
            let limit = limits.are_ordered().then(|| limits.crossed_by(reading))??;
            Some(Crossing { quantity, lane, reading, limit, threshold: limits.get(limit) })
        };
        self.readings().into_iter().filter_map(crossing).collect()
    }
}
