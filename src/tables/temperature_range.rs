//! Temperature ranges: what a module's case stands, and where it stays within that.

use super::{Row, Tables};
use crate::units::DegreesCelsius;

/// One temperature range of modules.
#[derive(Debug, Clone, PartialEq)]
pub struct TemperatureRange {
    /// Lowest case temperature.
    pub least: DegreesCelsius,
    /// Highest case temperature.
    pub most: DegreesCelsius,
    /// Kinds of place where a case stays within the range: `central-office`, `hut`, `cabinet`, …
    pub places: Vec<String>,
}

impl TemperatureRange {
    /// Whether a case stays within the range at a kind of place; `None` for a kind of place that
    /// `ranges` say nothing of.
    pub fn serves(&self, place: &str, ranges: &[Row<Self>]) -> Option<bool> {
        let names = |range: &Self| range.places.iter().any(|kind| kind.eq_ignore_ascii_case(place));
        let known = ranges.iter().any(|row| names(&row.value));
        known.then(|| names(self))
    }
}

impl Tables {
    /// Whether modules of a temperature range (by any of its names) belong at a kind of place;
    /// `None` where range or kind of place is not known.
    pub fn range_serves(&self, range: &str, place: &str) -> Option<bool> {
        let ranges = &self.temperature_ranges;
        ranges.get(range)?.value.serves(place.trim(), ranges.rows())
    }
}
