//! Fiber types: attenuation over wavelength, dispersion, what joins to what.

use rustc_hash::FxHashMap;

use super::{LossFigures, RowId, Table};
use crate::units::{Decibels, DecibelsPerKilometer, Micrometers, Nanometers, PsPerNmKm, PsPerRootKm};

/// Single-mode or multimode.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FiberKind {
    /// Single-mode.
    SingleMode,
    /// Multimode.
    Multimode,
}

impl FiberKind {
    /// From the letters in a table.
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "SM" => Some(Self::SingleMode),
            "MM" => Some(Self::Multimode),
            _ => None,
        }
    }

    /// `single-mode` or `multimode`.
    pub const fn word(self) -> &'static str {
        match self {
            Self::SingleMode => "single-mode",
            Self::Multimode => "multimode",
        }
    }
}

/// What a fiber type is, apart from its attenuation.
#[derive(Debug, Clone, PartialEq)]
pub struct FiberType {
    /// Single-mode or multimode.
    pub kind: FiberKind,
    /// The wavelengths the type may be used at.
    pub usable: (Nanometers, Nanometers),
    /// Group index near 850, 1310 and 1550 nm, where known.
    pub group_index: [Option<f64>; 3],
    /// Nominal mode field diameter at 1310 and at 1550 nm, where known.
    pub mode_field: [Option<Micrometers>; 2],
    /// Range of the zero-dispersion wavelength.
    pub zero_dispersion: Option<(Nanometers, Nanometers)>,
    /// Greatest slope at the zero-dispersion wavelength, ps/(nm² km).
    pub zero_dispersion_slope: Option<f64>,
    /// Dispersion range at 1550 nm.
    pub dispersion_1550: Option<(PsPerNmKm, PsPerNmKm)>,
    /// Link design value of the polarization mode dispersion, where known.
    pub pmd: Option<PsPerRootKm>,
    /// Core diameter of a multimode fiber, where known.
    pub core: Option<Micrometers>,
    /// Modal bandwidth at 850 nm, MHz km.
    pub bandwidth_850: Option<f64>,
}

impl FiberType {
    /// Whether the reaches that interfaces state for G.652 hold for this type, its dispersion included: its
    /// zero-dispersion wavelength lies near 1310 nm, as in ITU-T G.652 (1300 to 1324 nm) and G.657.A (from
    /// memory). G.653 to G.656 have it elsewhere.
    pub fn is_like_g652(&self) -> bool {
        self.zero_dispersion.is_some_and(|(low, high)| low.value() >= 1295.0 && high.value() <= 1325.0)
    }

    /// The lowest and highest dispersion coefficient at a wavelength.
    ///
    /// Three-term Sellmeier envelope D = S0/4 (λ - λ0⁴/λ³) with the extreme λ0 and the greatest S0
    /// (ITU-T G.652; valid about 1260 to 1625 nm, from memory of the clause). Near 1550 nm the wider of
    /// this and the type's own 1550 nm range is taken; a type that states only that range is
    /// known within 5 nm of it. `None` where the type gives no data.
    pub fn dispersion(&self, at: Nanometers) -> Option<(PsPerNmKm, PsPerNmKm)> {
        let near_1550 =
            |within: f64| self.dispersion_1550.filter(|_| (at.value() - 1550.0).abs() <= within);
        let (Some((low, high)), Some(slope)) = (self.zero_dispersion, self.zero_dispersion_slope) else {
            return near_1550(5.0);
        };
        let sellmeier = |zero: Nanometers| {
            let (l, z) = (at.value(), zero.value());
            slope / 4.0 * (l - z.powi(4) / l.powi(3))
        };
        let (mut least, mut most) = (sellmeier(high), sellmeier(low));
        if let Some((d_low, d_high)) = near_1550(15.0) {
            least = least.min(d_low.value());
            most = most.max(d_high.value());
        }
        Some((PsPerNmKm::new(least), PsPerNmKm::new(most)))
    }

    /// The group index nearest to a wavelength.
    pub fn group_index(&self, at: Nanometers) -> Option<f64> {
        let [short, middle, long] = self.group_index;
        match at.value() {
            nm if nm < 1100.0 => short.or(middle),
            nm if nm < 1430.0 => middle.or(long),
            _ => long.or(middle),
        }
    }
}

/// Attenuation of a fiber type at one wavelength.
#[derive(Debug, Clone, PartialEq)]
pub struct AttenuationPoint {
    /// The fiber type's name.
    pub fiber: String,
    /// The wavelength.
    pub at: Nanometers,
    /// Loss figures per kilometer, in dB/km written as dB.
    pub per_km: LossFigures,
    /// Backscatter constant for a 1 ns pulse in dB (negative), where known.
    pub backscatter: Option<Decibels>,
}

/// The extra loss where two unlike fibers meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Transition {
    /// One fiber.
    pub fiber_a: String,
    /// The other.
    pub fiber_b: String,
    /// Extra loss, in addition to the joint's own.
    pub figures: LossFigures,
}

/// The infrared absorption of silica in dB/km: `7.81e11 exp(-48.48 / λ)`, λ in micrometers
/// (germanium-doped silica; from memory of the literature; it matters above 1550 nm only).
pub fn infrared_absorption(at: Nanometers) -> DecibelsPerKilometer {
    DecibelsPerKilometer::new(7.81e11 * (-48.48 / (at.value() / 1000.0)).exp())
}

/// Attenuation of every fiber type over wavelength.
#[derive(Debug, Clone, Default)]
pub struct Attenuations {
    by_fiber: FxHashMap<String, Vec<Tabulated>>,
}

/// Wavelength, figures per kilometer, backscatter constant, and the row they stand in.
type Tabulated = (Nanometers, LossFigures, Option<Decibels>, RowId);

impl Attenuations {
    /// Sorts the points of the table by fiber and wavelength.
    pub fn of(table: &Table<AttenuationPoint>) -> Self {
        let mut by_fiber: FxHashMap<String, Vec<_>> = FxHashMap::default();
        for (index, row) in table.rows().iter().enumerate() {
            let point = &row.value;
            by_fiber.entry(point.fiber.to_lowercase()).or_default().push((
                point.at,
                point.per_km,
                point.backscatter,
                RowId(index as u32),
            ));
        }
        for points in by_fiber.values_mut() {
            points.sort_by(|a, b| a.0.value().total_cmp(&b.0.value()));
        }
        Self { by_fiber }
    }

    /// Loss figures per kilometer at a wavelength and the rows they come from.
    ///
    /// Between two tabulated points: `A/λ⁴ + B` plus [`infrared_absorption`], through both points
    /// (Rayleigh scattering and infrared edge; the form is textbook matter). Outside the tabulated
    /// range, `None`: nothing is extrapolated.
    pub fn at(&self, fiber: &str, at: Nanometers) -> Option<(LossFigures, [RowId; 2])> {
        let points = self.by_fiber.get(&fiber.to_lowercase())?;
        let above = points.iter().position(|point| point.0 >= at)?;
        let (upper_nm, upper, _, upper_row) = points[above];
        if upper_nm == at {
            return Some((upper, [upper_row; 2]));
        }
        let (lower_nm, lower, _, lower_row) = *points.get(above.checked_sub(1)?)?;
        let between = |low: Decibels, high: Decibels| {
            Decibels::new(spectral(at, (lower_nm, low.value()), (upper_nm, high.value())))
        };
        let figures = LossFigures {
            least: between(lower.least, upper.least),
            typical: between(lower.typical, upper.typical),
            // A limit stated at two wavelengths is not undercut between them by a model's sag.
            most: between(lower.most, upper.most).max(lower.most.min(upper.most)),
            spread: lower.spread.max(upper.spread),
            shape: lower.shape,
        };
        Some((ordered(figures), [lower_row, upper_row]))
    }

    /// The backscatter constant of the tabulated wavelength nearest to `at`.
    pub fn backscatter(&self, fiber: &str, at: Nanometers) -> Option<Decibels> {
        self.by_fiber
            .get(&fiber.to_lowercase())?
            .iter()
            .filter_map(|point| point.2.map(|k| ((point.0.value() - at.value()).abs(), k)))
            .min_by(|a, b| a.0.total_cmp(&b.0))
            .map(|(_, k)| k)
    }
}

/// `A/λ⁴ + B + infrared` through two points.
fn spectral(at: Nanometers, low: (Nanometers, f64), high: (Nanometers, f64)) -> f64 {
    let rayleigh = |nm: Nanometers| (nm.value() / 1000.0).powi(-4);
    let rest = |nm: Nanometers, value: f64| value - infrared_absorption(nm).value();
    let (r_low, r_high) = (rest(low.0, low.1), rest(high.0, high.1));
    let a = (r_low - r_high) / (rayleigh(low.0) - rayleigh(high.0));
    let b = r_low - a * rayleigh(low.0);
    (a * rayleigh(at) + b + infrared_absorption(at).value()).max(0.0)
}

/// Interpolated curves may cross by a hair where limits and typical values come from different
/// documents; the order of the figures is kept.
fn ordered(mut figures: LossFigures) -> LossFigures {
    figures.typical = figures.typical.min(figures.most);
    figures.least = figures.least.min(figures.typical);
    figures
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(low: (f64, f64), high: (f64, f64), nm: f64) -> f64 {
        spectral(Nanometers::new(nm), (Nanometers::new(low.0), low.1), (Nanometers::new(high.0), high.1))
    }

    /// Values of the model computed apart with a high-precision library.
    #[test]
    fn spectral_model_between_two_anchors() {
        let typical = |nm| at((1310.0, 0.33), (1550.0, 0.19), nm);
        approx::assert_abs_diff_eq!(typical(1270.0), 0.373_178_861_097, epsilon = 1e-10);
        approx::assert_abs_diff_eq!(typical(1490.0), 0.203_976_959_436, epsilon = 1e-10);
        approx::assert_abs_diff_eq!(typical(1625.0), 0.227_160_100_369, epsilon = 1e-10);
        let limit = |nm| at((1310.0, 0.40), (1550.0, 0.30), nm);
        approx::assert_abs_diff_eq!(limit(1383.0), 0.352_502_005_82, epsilon = 1e-10);
        approx::assert_abs_diff_eq!(limit(1577.0), 0.306_064_842_72, epsilon = 1e-10);
    }
}
