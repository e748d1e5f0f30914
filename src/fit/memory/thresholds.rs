//! Alarm and warning thresholds.

use super::bytes::View;
use crate::units::{DegreesCelsius, Milliamperes, Milliwatts, Volts};

/// What a module measures of itself.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Quantity {
    /// Temperature of the module.
    Temperature,
    /// Supply voltage.
    Voltage,
    /// Laser bias current.
    Bias,
    /// Transmitted light.
    Transmit,
    /// Received light.
    Receive,
}

impl Quantity {
    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::Temperature => "temperature",
            Self::Voltage => "supply voltage",
            Self::Bias => "laser bias",
            Self::Transmit => "transmitted light",
            Self::Receive => "received light",
        }
    }
}

/// One of the four thresholds of a quantity, in the order of every map.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Limit {
    /// Above it the module raises an alarm.
    HighAlarm,
    /// Below it the module raises an alarm.
    LowAlarm,
    /// Above it the module warns.
    HighWarning,
    /// Below it the module warns.
    LowWarning,
}

impl Limit {
    /// All four, in the order of every map.
    pub const ALL: [Self; 4] = [Self::HighAlarm, Self::LowAlarm, Self::HighWarning, Self::LowWarning];

    /// In words.
    pub const fn word(self) -> &'static str {
        match self {
            Self::HighAlarm => "high alarm",
            Self::LowAlarm => "low alarm",
            Self::HighWarning => "high warning",
            Self::LowWarning => "low warning",
        }
    }
}

/// The four thresholds of a quantity.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits<Q> {
    /// High alarm.
    pub high_alarm: Q,
    /// Low alarm.
    pub low_alarm: Q,
    /// High warning.
    pub high_warning: Q,
    /// Low warning.
    pub low_warning: Q,
}

impl<Q: PartialOrd + Copy> Limits<Q> {
    /// Whether low alarm <= low warning <= high warning <= high alarm.
    pub fn are_ordered(&self) -> bool {
        self.low_alarm <= self.low_warning
            && self.low_warning <= self.high_warning
            && self.high_warning <= self.high_alarm
    }

    /// The gravest threshold that a reading lies beyond.
    pub fn crossed_by(&self, reading: Q) -> Option<Limit> {
        match reading {
            _ if reading > self.high_alarm => Some(Limit::HighAlarm),
            _ if reading < self.low_alarm => Some(Limit::LowAlarm),
            _ if reading > self.high_warning => Some(Limit::HighWarning),
            _ if reading < self.low_warning => Some(Limit::LowWarning),
            _ => None,
        }
    }

    /// The same thresholds in another form.
    pub(super) fn map<R>(self, form: impl Fn(Q) -> R) -> Limits<R> {
        Limits {
            high_alarm: form(self.high_alarm),
            low_alarm: form(self.low_alarm),
            high_warning: form(self.high_warning),
            low_warning: form(self.low_warning),
        }
    }

    /// One of them.
    pub const fn get(&self, limit: Limit) -> Q {
        match limit {
            Limit::HighAlarm => self.high_alarm,
            Limit::LowAlarm => self.low_alarm,
            Limit::HighWarning => self.high_warning,
            Limit::LowWarning => self.low_warning,
        }
    }
}

/// Thresholds of everything a module measures; `None` where it states none.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Thresholds {
    /// Of the temperature.
    pub temperature: Option<Limits<DegreesCelsius>>,
    /// Of the supply voltage.
    pub voltage: Option<Limits<Volts>>,
    /// Of each laser's bias.
    pub bias: Option<Limits<Milliamperes>>,
    /// Of each lane's transmitted light.
    pub transmit: Option<Limits<Milliwatts>>,
    /// Of each lane's received light.
    pub receive: Option<Limits<Milliwatts>>,
}

/// Reads four thresholds of two bytes each. Four zeros, or four times all bits set, mean that the
/// module states none.
pub(super) fn limits<Q: Copy>(
    view: View<'_>,
    at: usize,
    convert: impl Fn(u16) -> Option<Q>,
) -> Option<Limits<Q>> {
    let raw = [view.u16(at)?, view.u16(at + 2)?, view.u16(at + 4)?, view.u16(at + 6)?];
    if raw == [0; 4] || raw == [u16::MAX; 4] {
        return None;
    }
    let [high_alarm, low_alarm, high_warning, low_warning] = raw.map(convert);
    Some(Limits {
        high_alarm: high_alarm?,
        low_alarm: low_alarm?,
        high_warning: high_warning?,
        low_warning: low_warning?,
    })
}
