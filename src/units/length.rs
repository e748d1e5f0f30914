//! Length of fiber and route.

use super::{linear, quantity};

quantity!(
    /// A length in kilometers (route, cable or fiber length; the name of the field says which).
    Kilometers,
    "km",
    3
);
linear!(Kilometers);

impl Kilometers {
    /// The longest length that may be stated: half way around the earth.
    pub const LONGEST: Self = Self::new(20_000.0);

    /// From meters.
    pub fn from_meters(meters: f64) -> Self {
        Self::new(meters / 1000.0)
    }

    /// In meters.
    pub fn meters(self) -> f64 {
        self.value() * 1000.0
    }
}
