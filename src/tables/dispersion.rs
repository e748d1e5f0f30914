//! Chromatic dispersion of fiber types where it is stated by lines over wavelength.

use rustc_hash::FxHashMap;

use super::{RowId, Table, Tables};
use crate::units::{Nanometers, PsPerNmKm};

/// The range of a fiber type's dispersion coefficient at one wavelength.
#[derive(Debug, Clone, PartialEq)]
pub struct DispersionPoint {
    /// The fiber type's name.
    pub fiber: String,
    /// The wavelength.
    pub at: Nanometers,
    /// Least and greatest coefficient.
    pub range: (PsPerNmKm, PsPerNmKm),
}

/// Wavelength, least and greatest coefficient, and the row they stand in.
type Tabulated = (Nanometers, (PsPerNmKm, PsPerNmKm), RowId);

/// The dispersion points of every fiber type, by wavelength.
#[derive(Debug, Clone, Default)]
pub struct Dispersions {
    by_fiber: FxHashMap<String, Vec<Tabulated>>,
}

impl Dispersions {
    /// Sorts the points of the table by fiber and wavelength.
    pub fn of(table: &Table<DispersionPoint>) -> Self {
        let mut by_fiber: FxHashMap<String, Vec<_>> = FxHashMap::default();
        for (index, row) in table.rows().iter().enumerate() {
            let point = &row.value;
            let points = by_fiber.entry(point.fiber.to_lowercase()).or_default();
            points.push((point.at, point.range, RowId(index as u32)));
        }
        for points in by_fiber.values_mut() {
            points.sort_by(|a, b| a.0.value().total_cmp(&b.0.value()));
        }
        Self { by_fiber }
    }

    /// The range on the lines between two points, and their rows. Outside the points, `None`.
    pub fn at(&self, fiber: &str, at: Nanometers) -> Option<((PsPerNmKm, PsPerNmKm), [RowId; 2])> {
        let points = self.by_fiber.get(&fiber.to_lowercase())?;
        let above = points.iter().position(|point| point.0 >= at)?;
        let upper = points[above];
        if upper.0 == at {
            return Some((upper.1, [upper.2; 2]));
        }
        let lower = points[above.checked_sub(1)?];
        let part = (at.value() - lower.0.value()) / (upper.0.value() - lower.0.value());
        let between =
            |a: PsPerNmKm, b: PsPerNmKm| PsPerNmKm::new(a.value() + part * (b.value() - a.value()));
        let range = (between(lower.1.0, upper.1.0), between(lower.1.1, upper.1.1));
        Some((range, [lower.2, upper.2]))
    }
}

impl Tables {
    /// The lowest and highest dispersion coefficient of a fiber type at a wavelength: the wider of what its
    /// points in `fiber-dispersion` and what its zero-dispersion wavelength and slope say
    /// ([`FiberType::dispersion`](super::FiberType::dispersion)). `None` where nothing is known.
    pub fn dispersion(&self, fiber: &str, at: Nanometers) -> Option<(PsPerNmKm, PsPerNmKm)> {
        let row = self.fibers.get(fiber)?;
        let by_points = self.dispersions.at(&row.key, at).map(|(range, _)| range);
        match (by_points, row.value.dispersion(at)) {
            (Some(a), Some(b)) => Some((a.0.min(b.0), a.1.max(b.1))),
            (a, b) => a.or(b),
        }
    }
}
