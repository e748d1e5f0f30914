//! The histogram of margins as SVG.

use super::report::direction_words;
use super::svg::Svg;
use crate::report::document::{Document, Histogram};

const HEIGHT: f64 = 210.0;
const TOP: f64 = 22.0;
const FLOOR: f64 = 168.0;
const LEFT: f64 = 46.0;
const WIDTH: f64 = 1100.0;

/// Draws the bars: from the office above, to the office stacked on it.
pub(super) fn draw(document: &Document<'_>, histogram: &Histogram) -> String {
    let mut svg = Svg::default();
    let (Some(first), Some(last)) = (histogram.bins.first(), histogram.bins.last()) else {
        svg.text("t", (LEFT, 40.0), "No margin is known.");
        return svg.finish((WIDTH, 60.0), "histogram", "Margins", "no margin is known");
    };
    let low = first.from_db.min(0.0);
    let high = (last.from_db + histogram.width_db).max(document.view.plan.assumptions.reserve.value());
    let most = histogram.bins.iter().map(|bin| bin.outward + bin.inward).max().unwrap_or(1).max(1);
    let x = |db: f64| LEFT + (db - low) / (high - low).max(0.1) * (WIDTH - LEFT - 16.0);
    let y = |count: usize| FLOOR - count as f64 / most as f64 * (FLOOR - TOP);
    for count in steps(most) {
        svg.line("grid", &[(LEFT, y(count)), (WIDTH - 16.0, y(count))]);
        svg.text("t-end faint", (LEFT - 6.0, y(count) + 4.0), &count.to_string());
    }
    let [outward, inward] = direction_words(document.view);
    for bin in histogram.bins.iter().filter(|bin| bin.outward + bin.inward > 0) {
        let (from, to) = (bin.from_db, bin.from_db + histogram.width_db);
        let title =
            format!("{from:.2} to {to:.2} dB: {} ends {outward}, {} {inward}", bin.outward, bin.inward);
        svg.open("bin", &title);
        let (left, width) = (x(from) + 0.7, (x(to) - x(from) - 1.4).max(0.8));
        let (lower, upper) = (y(bin.outward), y(bin.outward + bin.inward));
        svg.rect("bar", (left, lower), (width, FLOOR - lower), 0.0);
        svg.rect("bar inward", (left, upper), (width, lower - upper), 0.0);
        svg.close();
    }
    axis(&mut svg, (low, high), &x);
    let reserve = document.view.plan.assumptions.reserve;
    svg.line("zero", &[(x(0.0), TOP - 8.0), (x(0.0), FLOOR)]);
    svg.text("t-mid limit", (x(0.0), TOP - 11.0), "0 dB");
    if reserve.value() > 0.0 {
        svg.line("reserve-line", &[(x(reserve.value()), TOP - 8.0), (x(reserve.value()), FLOOR)]);
        svg.text("t-mid", (x(reserve.value()) + 26.0, TOP - 11.0), &format!("reserve {reserve}"));
    }
    let description = histogram
        .bins
        .iter()
        .filter(|bin| bin.outward + bin.inward > 0)
        .map(|bin| format!("{:.2} dB: {}", bin.from_db, bin.outward + bin.inward))
        .collect::<Vec<_>>()
        .join("; ");
    let name = format!("Ends by margin, in steps of {} dB", histogram.width_db);
    svg.finish((WIDTH, HEIGHT), "histogram", &name, &description)
}

fn axis(svg: &mut Svg, range: (f64, f64), x: &impl Fn(f64) -> f64) {
    let (low, high) = range;
    svg.line("fiber", &[(LEFT, FLOOR), (WIDTH - 16.0, FLOOR)]);
    let wide = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0];
    let step = wide.into_iter().find(|step| (high - low) / step <= 16.0).unwrap_or(1000.0);
    let mut at = (low / step).ceil() * step;
    while at <= high + 1e-9 {
        svg.text("t-mid faint", (x(at), FLOOR + 16.0), &format!("{:.0}", at + 0.0).replace('-', "−"));
        at += step;
    }
    svg.text("t-mid faint", (f64::midpoint(LEFT, WIDTH), FLOOR + 34.0), "worst-case margin, dB");
}

/// Two or three counts to draw lines at.
fn steps(most: usize) -> Vec<usize> {
    if most < 3 {
        return (1..=most).collect();
    }
    vec![most / 2, most]
}
