//! Feet or meters on paper. The plan and the files for machines keep kilometers.

use crate::units::Kilometers;

/// Meters in an international foot (exact).
const METERS_PER_FOOT: f64 = 0.3048;

/// The units lengths are printed in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Lengths {
    /// Kilometers and meters.
    #[default]
    Metric,
    /// Kilofeet and feet.
    Us,
}

impl Lengths {
    /// The unit of distances along a route.
    pub const fn long_unit(self) -> &'static str {
        match self {
            Self::Metric => "km",
            Self::Us => "kft",
        }
    }

    /// The unit of cords and drops.
    pub const fn short_unit(self) -> &'static str {
        match self {
            Self::Metric => "m",
            Self::Us => "ft",
        }
    }

    /// A distance along a route, in [`Lengths::long_unit`].
    pub fn long(self, length: Kilometers) -> f64 {
        self.short(length) / 1000.0
    }

    /// A cord or a drop, in [`Lengths::short_unit`].
    pub fn short(self, length: Kilometers) -> f64 {
        match self {
            Self::Metric => length.meters(),
            Self::Us => length.meters() / METERS_PER_FOOT,
        }
    }

    /// A distance without its unit, three decimals.
    pub fn long_number(self, length: Kilometers) -> String {
        format!("{:.3}", self.long(length))
    }

    /// A length as people say it: meters or feet below a thousand, else the long unit.
    pub fn words(self, length: Kilometers) -> String {
        let short = self.short(length);
        if short < 999.5 {
            // Half a meter counts on a pigtail.
            let decimals = usize::from(short < 10.0 && (short - short.round()).abs() > 0.05);
            return format!("{short:.decimals$} {}", self.short_unit());
        }
        format!("{:.2} {}", self.long(length), self.long_unit())
    }

    /// Two lengths as a range, or one where they print alike.
    pub fn range_words(self, least: Kilometers, most: Kilometers) -> String {
        let (least, most) = (self.words(least), self.words(most));
        if least == most { least } else { format!("{least} to {most}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A mile is 5,280 feet and 1.609344 km (exact).
    #[test]
    fn a_mile_is_5280_feet() {
        let mile = Kilometers::new(1.609_344);
        approx::assert_abs_diff_eq!(Lengths::Us.short(mile), 5280.0, epsilon = 1e-9);
        assert_eq!(Lengths::Us.long_number(mile), "5.280");
        assert_eq!(Lengths::Us.words(mile), "5.28 kft");
        assert_eq!(Lengths::Metric.words(mile), "1.61 km");
    }

    #[test]
    fn short_lengths_read_as_people_say_them() {
        let of = |meters| Lengths::Metric.words(Kilometers::from_meters(meters));
        assert_eq!([of(0.5), of(12.0), of(999.0), of(999.6)], ["0.5 m", "12 m", "999 m", "1.00 km"]);
        let range = Lengths::Metric.range_words(Kilometers::new(0.07), Kilometers::new(0.9));
        assert_eq!(range, "70 m to 900 m");
    }
}
