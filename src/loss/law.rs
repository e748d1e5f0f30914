//! From an element's loss figures to its law.

use super::statistics::Shape;
use crate::tables::{LossFigures, ShapeKind};
use crate::units::{Decibels, Probability};

/// The law that loss figures describe; `None` for figures that describe none (a gamma whose mean is its
/// start), which are then taken as fixed at their mean.
pub fn law_of(figures: &LossFigures) -> Option<Shape> {
    let LossFigures { least, typical, most, spread, shape } = *figures;
    let made = match shape {
        ShapeKind::Fixed => Shape::fixed(typical),
        ShapeKind::Normal => Shape::normal(typical, spread),
        ShapeKind::TruncatedNormal => Shape::truncated_normal(least, typical, spread),
        ShapeKind::Uniform => Shape::uniform(least, most),
        ShapeKind::Gamma => Shape::gamma(least, typical, spread),
        ShapeKind::Weibull => Shape::weibull_with(least, typical, spread),
        ShapeKind::LogNormal => Shape::log_normal(least, typical, spread),
        ShapeKind::Exponential => Shape::exponential(least, typical),
    };
    made.ok()
}

/// The standard deviation of the law of this shape, from `least` on with the mean `typical`, that 97 % keep
/// within `within`. `None` where no law of the shape has all three: its 97 % value cannot be above a
/// certain multiple of its mean (3.5 times for the exponential law).
///
/// Of two spreads that both serve, the smaller one is meant: with the greater one most of the mass would
/// lie at the start.
pub fn spread_within(shape: ShapeKind, [least, typical, within]: [Decibels; 3]) -> Option<Decibels> {
    let p = Probability::clamped(0.97);
    let above = (typical - least).value();
    let value = |spread: f64| {
        let spread = Decibels::new(spread);
        let law = law_of(&LossFigures { least, typical, most: within, spread, shape })?;
        // Shapes whose spread follows from their other figures cannot be fitted.
        ((law.spread() - spread).value().abs() < 1e-9).then(|| law.quantile(p).value())
    };
    let wanted = within.value();
    if above <= 0.0 || wanted <= typical.value() {
        return None;
    }
    let (mut low, mut high) = (0.0, above / 1024.0);
    let mut reached = typical.value();
    loop {
        let here = value(high)?;
        if here >= wanted {
            break;
        }
        if here < reached {
            return None;
        }
        (reached, low) = (here, high);
        high *= 1.02;
    }
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if value(middle)? < wanted { low = middle } else { high = middle }
    }
    Some(Decibels::new(high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Source: `tests/statistics/laws.csv`, roots found by mpmath.
    #[test]
    fn spreads_through_a_mean_and_a_97_percent_value() {
        let text = include_str!("../../tests/statistics/laws.csv");
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let mut checked = 0;
        for row in reader.records().map(|row| row.expect("a row")) {
            let Some(case) = row[0].strip_prefix("through-") else { continue };
            let (mean, within) = match case {
                "B" => (0.12, 0.25),
                "C" => (0.25, 0.5),
                _ => (0.2, 0.22),
            };
            let shape = ShapeKind::from_word(&row[1]).expect("a shape");
            let figures = [0.0, mean, within].map(Decibels::new);
            let spread = spread_within(shape, figures).expect("a law");
            assert_abs_diff_eq!(
                spread.value(),
                row[3].parse::<f64>().expect("a number"),
                epsilon = 1e-9
            );
            checked += 1;
        }
        assert_eq!(checked, 9);
    }

    #[test]
    fn no_law_reaches_any_value() {
        let fit =
            |shape, mean, within| spread_within(shape, [0.0, mean, within].map(Decibels::new)).is_some();
        // The lognormal law keeps 97 % within at most exp(z^2/2) = 5.86 times its mean.
        assert!(fit(ShapeKind::LogNormal, 0.1, 0.58));
        assert!(!fit(ShapeKind::LogNormal, 0.1, 0.59));
        assert!(!fit(ShapeKind::Exponential, 0.1, 0.3));
        assert!(!fit(ShapeKind::Uniform, 0.1, 0.19));
        assert!(!fit(ShapeKind::Gamma, 0.1, 0.09));
        assert!(fit(ShapeKind::Weibull, 0.12, 0.25) && fit(ShapeKind::TruncatedNormal, 0.12, 0.25));
    }
}
