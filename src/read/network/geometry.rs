//! Positions and lengths on the map.

use serde_json::Value;

pub(super) use crate::plan::distance;
use crate::units::Kilometers;

/// Latitude and longitude of a GeoJSON position (longitude first); `None` outside the globe.
pub(super) fn position(value: &Value) -> Option<(f64, f64)> {
    let list = value.as_array()?;
    let (longitude, latitude) = (list.first()?.as_f64()?, list.get(1)?.as_f64()?);
    let inside = (-90.0..=90.0).contains(&latitude) && (-180.0..=180.0).contains(&longitude);
    inside.then_some((latitude, longitude))
}

/// The positions of a line; the parts of a line in several parts one after the other.
pub(super) fn line(geometry: &Value) -> Option<Vec<(f64, f64)>> {
    let coordinates = geometry.get("coordinates")?.as_array()?;
    let positions: Option<Vec<(f64, f64)>> = match geometry.get("type")?.as_str()? {
        "LineString" => coordinates.iter().map(position).collect(),
        "MultiLineString" => {
            let parts = coordinates.iter().map(Value::as_array).collect::<Option<Vec<_>>>()?;
            parts.into_iter().flatten().map(position).collect()
        }
        _ => None,
    };
    positions.filter(|line| line.len() > 1)
}

/// Length of a line.
pub(super) fn length(line: &[(f64, f64)]) -> Kilometers {
    line.windows(2).map(|pair| distance(pair[0], pair[1])).sum()
}
