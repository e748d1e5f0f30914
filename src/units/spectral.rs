//! Wavelength and what depends on it.

use super::{Decibels, Kilometers, linear, quantity};

quantity!(
    /// A vacuum wavelength in nanometers.
    Nanometers,
    "nm",
    0
);
linear!(Nanometers);

quantity!(
    /// A short length in micrometers (mode field and core diameters).
    Micrometers,
    "um",
    1
);
linear!(Micrometers);

quantity!(
    /// An attenuation coefficient in dB per kilometer of fiber.
    DecibelsPerKilometer,
    "dB/km",
    3
);
linear!(DecibelsPerKilometer);

quantity!(
    /// A chromatic dispersion coefficient in ps/(nm km).
    PsPerNmKm,
    "ps/(nm km)",
    1
);
linear!(PsPerNmKm);

quantity!(
    /// Accumulated chromatic dispersion in ps/nm, with its sign.
    PsPerNm,
    "ps/nm",
    0
);
linear!(PsPerNm);

quantity!(
    /// A line or data rate in Gbit/s.
    GigabitsPerSecond,
    "Gbit/s",
    1
);

impl std::ops::Mul<Kilometers> for DecibelsPerKilometer {
    type Output = Decibels;
    fn mul(self, length: Kilometers) -> Decibels {
        Decibels::new(self.value() * length.value())
    }
}

impl std::ops::Mul<Kilometers> for PsPerNmKm {
    type Output = PsPerNm;
    fn mul(self, length: Kilometers) -> PsPerNm {
        PsPerNm::new(self.value() * length.value())
    }
}
