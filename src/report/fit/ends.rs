//! The light of a port, direction by direction.

use super::FitReport;
use crate::budget::{Direction, End, Pair};
use crate::units::{DecibelMilliwatts, Decibels};

/// The ends to show: of every direction and far port of a link the tightest lane; of every direction
/// of a PON the end with the least margin and the one with the least headroom.
pub(super) fn shown<'a>(report: &FitReport<'a>) -> Vec<&'a End> {
    let view = report.view;
    let all: Vec<&End> = report.answer.ends.iter().map(|end| &view.assessment.ends[*end]).collect();
    let mut keys: Vec<(u32, Direction)> = Vec::new();
    for end in &all {
        let key = (end.group, end.direction);
        if !keys.contains(&key) {
            keys.push(key);
        }
    }
    let mut shown: Vec<&End> = Vec::new();
    for key in keys {
        let these = || all.iter().copied().filter(|end| (end.group, end.direction) == key);
        let window = |end: &End| view.assessment.pair(end).window;
        let margin = |end: &End| end.margin(&window(end)).map_or(f64::NEG_INFINITY, Decibels::value);
        let headroom = |end: &End| end.headroom(&window(end)).map_or(f64::NEG_INFINITY, Decibels::value);
        let tightest = these().min_by(|a, b| margin(a).total_cmp(&margin(b)));
        let hottest = these().min_by(|a, b| headroom(a).total_cmp(&headroom(b)));
        let gravest = these().max_by_key(|end| end.light);
        for end in [tightest, hottest, gravest].into_iter().flatten() {
            if !shown.iter().any(|known| is_like(known, end)) {
                shown.push(end);
            }
        }
    }
    shown
}

/// Whether two ends of one direction read alike: neighbors at one splitter mostly do.
fn is_like(a: &End, b: &End) -> bool {
    (a.group, a.direction, a.pair, a.light) == (b.group, b.direction, b.pair, b.light)
        && (a.length, a.least, a.most) == (b.length, b.least, b.most)
}

/// The levels that arrive: least launch less worst loss, greatest launch less least loss.
pub(super) fn arrives(end: &End, pair: &Pair) -> [Option<DecibelMilliwatts>; 2] {
    let [least, most] = pair.window.launch;
    let known = end.missing.is_none();
    [
        least.filter(|_| known).map(|launch| launch - end.most),
        most.filter(|_| known).map(|launch| launch - end.least),
    ]
}
