//! Distances on the ground.

use crate::units::Kilometers;

/// Mean radius of the Earth, km (IUGG mean radius, from memory). On the sphere of this radius lengths are
/// right within half a percent.
const EARTH_RADIUS_KM: f64 = 6371.0088;

/// Great-circle distance of two positions, latitude and longitude in degrees (WGS 84), right within half a
/// percent.
pub fn distance(a: (f64, f64), b: (f64, f64)) -> Kilometers {
    let (lat_a, lat_b) = (a.0.to_radians(), b.0.to_radians());
    let half = |angle: f64| (angle / 2.0).sin().powi(2);
    let chord = half(lat_b - lat_a) + lat_a.cos() * lat_b.cos() * half((b.1 - a.1).to_radians());
    Kilometers::new(2.0 * EARTH_RADIUS_KM * chord.clamp(0.0, 1.0).sqrt().asin())
}

/// The least distance that two positions can have, given how finely their degrees are written: half a
/// unit of the last digit either way, and half a percent for the sphere.
pub fn least_distance(a: (f64, f64), b: (f64, f64)) -> Kilometers {
    let sure = distance(a, b).value() * 0.995;
    let digits = [a.0, a.1, b.0, b.1].map(decimals).into_iter().max().unwrap_or(0);
    let degree = EARTH_RADIUS_KM.to_radians();
    // Latitude and longitude of both may be off, at right angles.
    let off = 2.0 * std::f64::consts::SQRT_2 * 0.5 * 10_f64.powi(-digits) * degree;
    Kilometers::new((sure - off).max(0.0))
}

/// Digits behind the point of a number as it was most likely written.
fn decimals(value: f64) -> i32 {
    value.to_string().split_once('.').map_or(0, |(_, digits)| digits.len() as i32)
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

    /// A tenth of a degree of latitude is 11.12 km; written to a tenth, it may be nothing at all.
    #[test]
    fn coarse_coordinates_leave_room() {
        assert_eq!(least_distance((51.1, 0.0), (51.2, 0.0)).value(), 0.0);
        let fine = least_distance((51.1, 0.0), (51.2, 0.0001)).value();
        assert!((11.0..11.12).contains(&fine), "{fine}");
    }
}
