//! Expected light: at every point where a meter can be plugged, the interval in which the level must lie
//! on the first day, and the readings at which to stop.

use std::collections::BTreeMap;

use super::super::sheet::{Cell, Column, Sheet};
use super::super::work::{Work, level};
use crate::budget::{End, EndAt, Profile};
use crate::plan::{JointKind, PointRef};
use crate::plant::is_port;
use crate::units::{DecibelMilliwatts, Decibels};

/// Where and what is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Key {
    line: usize,
    point: PointRef,
    inward: bool,
    pair: u32,
}

/// What must be read, over all ends that share the point.
#[derive(Debug, Clone, Copy)]
struct Expected {
    least: DecibelMilliwatts,
    typical: [DecibelMilliwatts; 2],
    most: DecibelMilliwatts,
    stop_below: DecibelMilliwatts,
    stop_above: DecibelMilliwatts,
    ends: u64,
}

/// The sheet.
pub(in super::super) fn sheet(work: &Work<'_>) -> Sheet {
    let heads = [
        "place",
        "point",
        "light comes from",
        "PON or link",
        "optic",
        "nm",
        "least, dBm",
        "expected, dBm",
        "most, dBm",
        "stop below, dBm",
        "stop above, dBm",
        "ends",
    ];
    let mut columns: Vec<Column> = heads.into_iter().map(Column::new).collect();
    columns.extend(["reading, dBm", "initials", "date"].map(Column::by_hand));
    let rows = expected(work);
    Sheet {
        name: "light",
        title: "Expected light, first day",
        columns,
        rows: rows.iter().map(|(key, expected)| row(work, *key, expected)).collect(),
    }
}

fn row(work: &Work<'_>, key: Key, expected: &Expected) -> Vec<Cell> {
    let view = work.document.view;
    let pair = &view.assessment.pairs.pairs[key.pair as usize];
    let from = match (work.lines[key.line].far, key.inward) {
        (None, false) => "the office".to_string(),
        (None, true) => "the premises".to_string(),
        (Some(_), false) => work.lines[key.line].id.to_string(),
        (Some(far), true) => far.to_string(),
    };
    let middle = f64::midpoint(expected.typical[0].value(), expected.typical[1].value());
    let nm = pair.band.nominal.value();
    vec![
        Cell::text(work.place(key.point)),
        Cell::text(work.plan().point_name(key.point)),
        Cell::text(from),
        Cell::text(line_id(work, key.line)),
        Cell::text(view.optic_name(pair.transmitter)),
        Cell::Number(nm, if nm.fract() == 0.0 { 0 } else { 2 }),
        level(Some(expected.least), false),
        Cell::Number((middle * 10.0).round() / 10.0 + 0.0, 1),
        level(Some(expected.most), true),
        level(Some(expected.stop_below), false),
        level(Some(expected.stop_above), true),
        Cell::Count(expected.ends),
        Cell::Empty,
        Cell::Empty,
        Cell::Empty,
    ]
}

/// A PON by its port (its optic stands beside it), a link by both its ports.
fn line_id(work: &Work<'_>, line: usize) -> String {
    let line = &work.lines[line];
    line.far.map_or_else(|| line.id.to_string(), |far| format!("{} to {far}", line.id))
}

/// Gathers the intervals over all ends, in the order of the lines and points.
fn expected(work: &Work<'_>) -> BTreeMap<Key, Expected> {
    let mut found: BTreeMap<Key, Expected> = BTreeMap::new();
    let ends = &work.document.view.assessment.ends;
    for (index, (line, profile)) in work.lines.iter().zip(&work.profiles).enumerate() {
        for (end, at) in ends[line.group.ends.clone()].iter().zip(&profile.ends) {
            let Some(at) = at.filter(|_| end.missing.is_none()) else { continue };
            along(work, (index, profile), end, at, &mut found);
        }
    }
    found
}

/// The points on the way of one end.
fn along(
    work: &Work<'_>,
    line: (usize, &Profile),
    end: &End,
    at: EndAt,
    found: &mut BTreeMap<Key, Expected>,
) {
    let (line, profile) = line;
    let losses = &profile.losses[at.losses as usize];
    let points = &profile.shapes[losses.shape as usize].points;
    let window = work.document.view.assessment.pair(end).window;
    let [Some(low), Some(high)] = window.launch else { return };
    let far = losses.reached[at.point as usize];
    let mut index = at.point as usize;
    loop {
        let point = points[index].point;
        if is_open_to_a_meter(work, point) {
            let here = losses.reached[index];
            let passed = |pick: usize| if at.inward { far[pick] - here[pick] } else { here[pick] };
            let this = at_point(end, [low, high], [passed(0), passed(1), passed(2)], window);
            let key = Key { line, point, inward: at.inward, pair: end.pair };
            found.entry(key).and_modify(|known| known.join(&this, at.inward)).or_insert(this);
        }
        if index == 0 {
            break;
        }
        index = points[index].parent as usize;
    }
}

/// The level at a point of one end's way.
fn at_point(
    end: &End,
    launch: [DecibelMilliwatts; 2],
    passed: [Decibels; 3],
    window: crate::budget::Window,
) -> Expected {
    let [low, high] = launch;
    let [least, typical, most] = passed;
    let middle = DecibelMilliwatts::new(f64::midpoint(low.value(), high.value())) - typical;
    // What the receiver must get, and what is still lost on the way to it, allowances included.
    let needed = window.max.map(|max| low - max + (end.most - most));
    let bearable = window.overload.map(|overload| overload + (end.least - least));
    let (lower, upper) = (low - most, high - least);
    Expected {
        least: lower,
        typical: [middle, middle],
        most: upper,
        stop_below: needed.map_or(lower, |needed| needed.max(lower)),
        stop_above: bearable.map_or(upper, |bearable| bearable.min(upper)),
        ends: 1,
    }
}

impl Expected {
    /// Joins what another end expects at the same point. Light to several ends is one reading, and the
    /// strictest of them holds; light from several ends (`inward`) is a reading for each, and only what
    /// is wrong for all of them is wrong.
    fn join(&mut self, other: &Self, inward: bool) {
        self.least = self.least.min(other.least);
        self.most = self.most.max(other.most);
        self.typical = [self.typical[0].min(other.typical[0]), self.typical[1].max(other.typical[1])];
        let (below, above) = ((self.stop_below, other.stop_below), (self.stop_above, other.stop_above));
        if inward {
            self.stop_below = below.0.min(below.1);
            self.stop_above = above.0.max(above.1);
        } else {
            self.stop_below = below.0.max(below.1);
            self.stop_above = above.0.min(above.1);
        }
        self.ends += other.ends;
    }
}

/// Whether a meter can be plugged at a point: a port, or a connector.
fn is_open_to_a_meter(work: &Work<'_>, point: PointRef) -> bool {
    let joint = work.joint_kind(work.plan().joint_at(point).0);
    is_port(point) || matches!(joint, Some(JointKind::Connector { .. }))
}
