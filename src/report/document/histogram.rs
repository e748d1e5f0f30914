//! How many ends have how much margin.

use crate::budget::Direction;
use crate::check::view::View;

/// Width of a bin, dB.
const WIDTH_DB: f64 = 0.5;
/// Bins that are drawn at most; what lies beyond is counted in the last one at either side.
const MOST_BINS: i64 = 60;

/// One bar.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Bin {
    /// Its lower edge, dB.
    pub from_db: f64,
    /// Ends whose light runs from the office (downstream, A to B).
    pub outward: usize,
    /// Ends whose light runs to the office (upstream, B to A).
    pub inward: usize,
}

/// Ends by margin.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Histogram {
    /// The bars, from low to high, without gaps.
    pub bins: Vec<Bin>,
    /// Width of a bar, dB.
    pub width_db: f64,
    /// Ends whose margin is not known.
    pub unknown: usize,
}

/// The margins of all ends, in steps of half a dB (coarser where they spread far).
pub fn histogram(view: View<'_>) -> Histogram {
    let margins: Vec<(f64, bool)> = view
        .assessment
        .ends
        .iter()
        .filter_map(|end| {
            let margin = end.margin(&view.assessment.pair(end).window)?.rounded_down().value();
            Some((margin, matches!(end.direction, Direction::Upstream | Direction::BToA)))
        })
        .collect();
    let unknown = view.assessment.ends.len() - margins.len();
    let low = margins.iter().map(|(margin, _)| *margin).fold(f64::INFINITY, f64::min);
    let high = margins.iter().map(|(margin, _)| *margin).fold(f64::NEG_INFINITY, f64::max);
    if margins.is_empty() || !low.is_finite() || !high.is_finite() {
        return Histogram { bins: Vec::new(), width_db: WIDTH_DB, unknown };
    }
    let mut width_db = WIDTH_DB;
    while (high / width_db).floor() - (low / width_db).floor() >= MOST_BINS as f64 {
        width_db *= 2.0;
    }
    // A margin such as 1.50 belongs to the bin that starts there, binary noise or not.
    let index = |margin: f64| ((margin + 1e-9) / width_db).floor() as i64;
    let (first, last) = (index(low), index(high));
    let mut bins: Vec<Bin> =
        (first..=last).map(|at| Bin { from_db: at as f64 * width_db, ..Bin::default() }).collect();
    for (margin, inward) in margins {
        let bin = &mut bins[(index(margin) - first) as usize];
        if inward { bin.inward += 1 } else { bin.outward += 1 }
    }
    Histogram { bins, width_db, unknown }
}
