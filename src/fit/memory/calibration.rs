//! From the numbers in a memory to what they measure.
//!
//! SFF-8472 section 9 (from memory of the section; the formulas as restated in public texts): an
//! internally calibrated module stores results; an externally calibrated one stores what its
//! converters read, and the constants to turn readings, alarm and warning thresholds alike into
//! results. SFF-8636 and CMIS know internal calibration only.

use super::bytes::View;
use crate::units::{DegreesCelsius, Milliamperes, Milliwatts, Volts};

/// Steps of a degree Celsius.
const TO_A_DEGREE: f64 = 256.0;
/// Steps of a volt: 100 microvolts each.
const TO_A_VOLT: f64 = 1e4;
/// Steps of a milliampere: 2 microamperes each.
const TO_A_MILLIAMPERE: f64 = 500.0;
/// Steps of a milliwatt: 0.1 microwatt each.
const TO_A_MILLIWATT: f64 = 1e4;

/// How the numbers of a memory are turned into results.
#[derive(Debug, Clone, PartialEq)]
pub enum Calibration {
    /// They are results.
    Internal {
        /// Steps of the bias are this many times 2 microamperes: 1, 2 or 4 (CMIS).
        bias_scale: u8,
    },
    /// They are raw, and these constants turn them into results (SFF-8472).
    External(Box<External>),
}

/// The constants of external calibration.
#[derive(Debug, Clone, PartialEq)]
pub struct External {
    bias: Line,
    transmit: Line,
    temperature: Line,
    voltage: Line,
    /// Coefficients of the received power by rising power of the raw number.
    receive: [f64; 5],
}

/// slope x raw + offset.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Line {
    slope: f64,
    offset: f64,
}

impl Line {
    /// An unsigned slope with eight binary places, then a signed offset.
    fn read(view: View<'_>, at: usize) -> Option<Self> {
        let slope = f64::from(view.u16(at)?) / 256.0;
        Some(Self { slope, offset: f64::from(view.i16(at + 2)?) })
    }

    fn apply(self, raw: f64) -> f64 {
        self.slope * raw + self.offset
    }
}

impl External {
    /// Bytes 56 to 91 of address A2h.
    pub(super) fn read(second: View<'_>) -> Option<Self> {
        // The coefficients stand from the fourth power down to the constant.
        let coefficient = |power: usize| second.f32(72 - 4 * power).map(f64::from);
        let mut receive = [0.0; 5];
        for (power, place) in receive.iter_mut().enumerate() {
            *place = coefficient(power)?;
        }
        Some(Self {
            bias: Line::read(second, 76)?,
            transmit: Line::read(second, 80)?,
            temperature: Line::read(second, 84)?,
            voltage: Line::read(second, 88)?,
            receive,
        })
    }

    /// What cannot be right with the constants, in words.
    pub fn faults(&self) -> Vec<&'static str> {
        let lines = [
            (self.temperature, "the slope of the temperature is 0"),
            (self.voltage, "the slope of the supply voltage is 0"),
            (self.bias, "the slope of the laser bias is 0"),
            (self.transmit, "the slope of the transmitted light is 0"),
        ];
        let mut faults: Vec<_> =
            lines.into_iter().filter(|(line, _)| line.slope == 0.0).map(|(_, fault)| fault).collect();
        if self.receive.iter().any(|coefficient| !coefficient.is_finite()) {
            faults.push("a coefficient of the received light is not a number");
        } else if self.receive[1..].iter().all(|coefficient| *coefficient == 0.0) {
            faults.push("all coefficients of the received light are 0");
        }
        faults
    }

    fn receive(&self, raw: u16) -> f64 {
        let raw = f64::from(raw);
        self.receive.iter().rev().fold(0.0, |sum, coefficient| sum * raw + coefficient)
    }
}

impl Calibration {
    /// Results with bias steps of 2 microamperes.
    pub(super) const PLAIN: Self = Self::Internal { bias_scale: 1 };

    /// A signed 16-bit number as a temperature.
    pub(super) fn temperature(&self, raw: u16) -> DegreesCelsius {
        let raw = f64::from(raw.cast_signed());
        let result = match self {
            Self::Internal { .. } => raw,
            Self::External(constants) => constants.temperature.apply(raw),
        };
        DegreesCelsius::new(result / TO_A_DEGREE)
    }

    pub(super) fn voltage(&self, raw: u16) -> Volts {
        let raw = f64::from(raw);
        let result = match self {
            Self::Internal { .. } => raw,
            Self::External(constants) => constants.voltage.apply(raw),
        };
        Volts::new(result / TO_A_VOLT)
    }

    pub(super) fn bias(&self, raw: u16) -> Milliamperes {
        let raw = f64::from(raw);
        let result = match self {
            Self::Internal { bias_scale } => raw * f64::from(*bias_scale),
            Self::External(constants) => constants.bias.apply(raw),
        };
        Milliamperes::new(result / TO_A_MILLIAMPERE)
    }

    pub(super) fn transmit(&self, raw: u16) -> Option<Milliwatts> {
        light(match self {
            Self::Internal { .. } => f64::from(raw),
            Self::External(constants) => constants.transmit.apply(f64::from(raw)),
        })
    }

    pub(super) fn receive(&self, raw: u16) -> Option<Milliwatts> {
        light(match self {
            Self::Internal { .. } => f64::from(raw),
            Self::External(constants) => constants.receive(raw),
        })
    }
}

/// A result in steps of 0.1 microwatt. An offset may push darkness below zero: it stays darkness.
/// `None` where the constants give no number.
fn light(steps: f64) -> Option<Milliwatts> {
    steps.is_finite().then(|| Milliwatts::new(steps.max(0.0) / TO_A_MILLIWATT))
}
