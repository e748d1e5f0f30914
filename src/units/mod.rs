//! Quantities of the trade as types, so that a level is never taken for a loss.
//!
//! Holds: the newtypes, their checked parsing from written text and their display.
//! Must not know: anything of plans, tables, files or wording of results.
//! Start reading at [`Decibels`] and [`DecibelMilliwatts`]; [`parse`] turns `"7.4 km"` into a value.

mod electrical;
mod frequency;
mod length;
mod level;
pub mod parse;
mod ratio;
mod spectral;

pub use electrical::{DegreesCelsius, Megabaud, Milliamperes, Milliwatts, Volts, Watts};
pub use frequency::{Gigahertz, Terahertz};
pub use length::Kilometers;
pub use level::{DecibelMilliwatts, Decibels};
pub use parse::{Quantity, UnitError};
pub use ratio::{Percent, Probability};
pub use spectral::{
    DecibelsPerKilometer, GigabitsPerSecond, Micrometers, Nanometers, Picoseconds, PsPerNm, PsPerNmKm,
    PsPerRootKm,
};

/// Declares a plain `f64` quantity with the operations every quantity allows.
macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $symbol:literal, $decimals:literal) => {
        $crate::units::quantity!(plain $(#[$doc])* $name, $symbol);

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                let decimals = f.precision().unwrap_or($decimals);
                write!(f, "{:.*} {}", decimals, self.0, $symbol)
            }
        }
    };
    (plain $(#[$doc:meta])* $name:ident, $symbol:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Default)]
        pub struct $name(f64);

        impl $name {
            /// Zero of this quantity.
            pub const ZERO: Self = Self(0.0);
            /// The unit's written symbol.
            pub const SYMBOL: &'static str = $symbol;

            /// Wraps a number that is already in this unit.
            pub const fn new(value: f64) -> Self {
                Self(value)
            }

            /// The number, in this unit.
            pub const fn value(self) -> f64 {
                self.0
            }

            /// Whether the number is finite (neither NaN nor infinite).
            pub fn is_finite(self) -> bool {
                self.0.is_finite()
            }

            /// The lesser of two values.
            #[must_use]
            pub fn min(self, other: Self) -> Self {
                Self(self.0.min(other.0))
            }

            /// The greater of two values.
            #[must_use]
            pub fn max(self, other: Self) -> Self {
                Self(self.0.max(other.0))
            }
        }
    };
}
pub(crate) use quantity;

/// Adds the sums and scalings of a quantity that is linear (not a level).
macro_rules! linear {
    ($name:ident) => {
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self::new(self.value() + other.value())
            }
        }
        impl std::ops::AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                *self = *self + other;
            }
        }
        impl std::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self::new(self.value() - other.value())
            }
        }
        impl std::ops::Neg for $name {
            type Output = Self;
            fn neg(self) -> Self {
                Self::new(-self.value())
            }
        }
        impl std::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self::new(self.value() * factor)
            }
        }
        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(items: I) -> Self {
                items.fold(Self::ZERO, |total, item| total + item)
            }
        }
    };
}
pub(crate) use linear;
