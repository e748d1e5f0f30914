//! Positions and lengths on the map.

use serde_json::Value;

use crate::units::Kilometers;

/// Mean radius of the Earth, km (IUGG mean radius, from memory). On the sphere of this radius lengths are
/// right within half a percent.
const EARTH_RADIUS_KM: f64 = 6371.0088;

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

/// Great-circle distance.
pub(super) fn distance(a: (f64, f64), b: (f64, f64)) -> Kilometers {
    let (lat_a, lat_b) = (a.0.to_radians(), b.0.to_radians());
    let half = |angle: f64| (angle / 2.0).sin().powi(2);
    let chord = half(lat_b - lat_a) + lat_a.cos() * lat_b.cos() * half((b.1 - a.1).to_radians());
    Kilometers::new(2.0 * EARTH_RADIUS_KM * chord.clamp(0.0, 1.0).sqrt().asin())
}

/// Length of a line.
pub(super) fn length(line: &[(f64, f64)]) -> Kilometers {
    line.windows(2).map(|pair| distance(pair[0], pair[1])).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A quarter of a meridian of a sphere is a quarter of its circumference; the equator likewise.
    #[test]
    fn a_quarter_of_a_great_circle() {
        let quarter = std::f64::consts::FRAC_PI_2 * EARTH_RADIUS_KM;
        for (a, b) in
            [((0.0, 12.0), (90.0, 40.0)), ((0.0, 0.0), (0.0, 90.0)), ((0.0, 135.0), (0.0, -135.0))]
        {
            approx::assert_abs_diff_eq!(distance(a, b).value(), quarter, epsilon = 1e-6);
        }
        assert_eq!(distance((10.0, 20.0), (10.0, 20.0)).value(), 0.0);
    }
}
