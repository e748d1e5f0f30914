//! Wavelength and what depends on it.

use super::{Decibels, Kilometers, linear, quantity};

quantity!(plain
    /// A vacuum wavelength in nanometers.
    Nanometers,
    "nm"
);

impl std::fmt::Display for Nanometers {
    /// As many decimals as the value has, two at most: 1310 nm, 1295.56 nm.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let text = format!("{:.2}", self.value());
        write!(f, "{} nm", text.trim_end_matches('0').trim_end_matches('.'))
    }
}
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
    /// A coefficient of polarization mode dispersion, in ps per root of km of fiber.
    PsPerRootKm,
    "ps/sqrt(km)",
    2
);

quantity!(
    /// A time in ps: a mean differential group delay, a bit period.
    Picoseconds,
    "ps",
    2
);

quantity!(plain
    /// A line or data rate in Gbit/s.
    GigabitsPerSecond,
    "Gbit/s"
);

impl std::fmt::Display for GigabitsPerSecond {
    /// As many decimals as the value has, three at most: 10 Gbit/s, 2.488 Gbit/s.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let text = format!("{:.3}", self.value());
        write!(f, "{} Gbit/s", text.trim_end_matches('0').trim_end_matches('.'))
    }
}

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
