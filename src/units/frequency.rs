//! Optical frequency, the coordinate in which channel grids are laid out.

use super::{Nanometers, linear, quantity};

/// Speed of light in vacuum (exact by definition), in nm THz.
const LIGHT_SPEED: f64 = 299_792.458;

quantity!(
    /// An optical frequency in THz.
    Terahertz,
    "THz",
    4
);
linear!(Terahertz);

quantity!(
    /// A frequency difference in GHz.
    Gigahertz,
    "GHz",
    2
);
linear!(Gigahertz);

impl Terahertz {
    /// The wavelength in vacuum, which is how wavelengths of the trade are stated.
    pub fn wavelength(self) -> Nanometers {
        Nanometers::new(LIGHT_SPEED / self.value())
    }
}

impl Nanometers {
    /// The optical frequency of a wavelength in vacuum.
    pub fn frequency(self) -> Terahertz {
        Terahertz::new(LIGHT_SPEED / self.value())
    }
}

impl From<Gigahertz> for Terahertz {
    fn from(difference: Gigahertz) -> Self {
        Self::new(difference.value() / 1000.0)
    }
}

impl From<Terahertz> for Gigahertz {
    fn from(difference: Terahertz) -> Self {
        Self::new(difference.value() * 1000.0)
    }
}
