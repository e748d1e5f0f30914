//! The data island: all ends and the ways to them, compact, for the page's own script.
//!
//! Whole numbers keep it small and exact: thousandths of a dB for sums along a way (least rounded down,
//! most rounded up), hundredths for what the table of ends shows (as every face rounds), meters for
//! lengths. `null` is "not known".

use std::collections::BTreeMap;

use serde::Serialize;

use super::svg::escaped_json;
use crate::budget::{End, Pair, Profile, Profiles, Verdict, WayLosses, Window};
use crate::plan::PointRef;
use crate::report::budget::{premises_port, reason};
use crate::report::document::{Document, GroupLine, sign};
use crate::report::order::tightest_first;
use crate::units::{DecibelMilliwatts, Decibels, Probability};

/// Everything the script works on.
#[derive(Debug, Serialize)]
pub(super) struct Island {
    /// Unit of long lengths and how many meters it has; of short ones likewise.
    units: Units,
    /// Words and marks of the verdicts, by code.
    verdicts: Vec<[&'static str; 2]>,
    /// PONs and links in the order of reading.
    groups: Vec<GroupData>,
    /// Distinct yields, least first.
    yields: Vec<String>,
    /// Rules that decided verdicts, in the sets that occur.
    whys: Vec<String>,
    /// Distinct reasons.
    reasons: Vec<String>,
    /// Ends in columns, tightest first.
    ends: EndColumns,
    /// The end whose levels are shown first, as an index into the columns.
    first: usize,
}

#[derive(Debug, Serialize)]
struct Units {
    long: &'static str,
    meters_per_long: f64,
    short: &'static str,
    meters_per_short: f64,
    reserve_db: f64,
    confidence: String,
}

#[derive(Debug, Serialize)]
struct GroupData {
    id: String,
    far: Option<String>,
    optic: String,
    served: u32,
    km: [Option<f64>; 2],
    margin: Option<i64>,
    headroom: Option<i64>,
    closes: String,
    reserve: String,
    verdict: u8,
    /// The rules that decided the verdict.
    why: String,
    shapes: Vec<ShapeData>,
    losses: Vec<LossData>,
    lanes: Vec<LaneData>,
}

/// The points of the ways: name, kind, parent, meters from the group's port.
#[derive(Debug, Serialize)]
struct ShapeData {
    n: Vec<String>,
    k: String,
    p: Vec<u32>,
    m: Vec<f64>,
}

/// Cumulative losses to each point, thousandths of a dB.
#[derive(Debug, Serialize)]
struct LossData {
    shape: u32,
    l: Vec<i64>,
    t: Vec<i64>,
    w: Vec<i64>,
}

/// One pair of optics in one direction.
#[derive(Debug, Serialize)]
struct LaneData {
    losses: u32,
    inward: bool,
    dir: &'static str,
    nm: f64,
    tx: String,
    rx: String,
    launch: [Option<f64>; 2],
    sens: Option<f64>,
    over: Option<f64>,
    min: Option<f64>,
    max: Option<f64>,
    basis: &'static str,
}

/// Ends, one list per column.
#[derive(Debug, Serialize, Default)]
struct EndColumns {
    group: Vec<usize>,
    lane: Vec<Option<usize>>,
    point: Vec<u32>,
    id: Vec<Option<String>>,
    dir: Vec<&'static str>,
    meters: Vec<f64>,
    least: Vec<Option<i64>>,
    typical: Vec<Option<i64>>,
    most: Vec<Option<i64>>,
    quantile: Vec<Option<i64>>,
    margin: Vec<Option<i64>>,
    headroom: Vec<Option<i64>>,
    r#yield: Vec<Option<usize>>,
    verdict: Vec<u8>,
    /// Sets of rules that decided the verdict, by index into `whys`.
    why: Vec<u16>,
    reason: Vec<usize>,
}

/// The island as text for a script element, and the profiles in the order of the lines for drawings.
pub(super) fn island(document: &Document<'_>, lines: &[GroupLine<'_>], profiles: &[Profile]) -> String {
    let island = Island {
        units: units(document),
        verdicts: Verdict::ALL.iter().map(|v| [v.word(), sign(*v).mark]).collect(),
        groups: Vec::new(),
        yields: yields(document),
        whys: document.view.assessment.standing.whys.iter().map(|set| set.join(", ")).collect(),
        reasons: Vec::new(),
        ends: EndColumns::default(),
        first: 0,
    };
    let yields = island.yields.iter().cloned().zip(0..).collect();
    let filled =
        Filler { document, lines, profiles, lanes: Vec::new(), reasons: BTreeMap::new(), yields };
    escaped_json(&filled.fill(island))
}

/// Walks every group in the order of the lines.
pub(super) fn profiles(document: &Document<'_>, lines: &[GroupLine<'_>]) -> Vec<Profile> {
    let view = document.view;
    let walker = Profiles::new(view.plan, view.plant, view.tables, view.assessment);
    lines.iter().map(|line| walker.of(line.group)).collect()
}

fn units(document: &Document<'_>) -> Units {
    let lengths = document.lengths;
    let one = crate::units::Kilometers::new(1.0);
    Units {
        long: lengths.long_unit(),
        meters_per_long: 1000.0 / lengths.long(one),
        short: lengths.short_unit(),
        meters_per_short: 1000.0 / lengths.short(one),
        reserve_db: document.view.plan.assumptions.reserve.value(),
        confidence: document.view.plan.assumptions.confidence.to_string(),
    }
}

/// The distinct yields as they print, least first, so that their index sorts them.
fn yields(document: &Document<'_>) -> Vec<String> {
    let ends = document.view.assessment.ends.iter();
    let mut values: Vec<f64> = ends.filter_map(|end| Some(end.statistics?.closes?.value())).collect();
    values.sort_by(f64::total_cmp);
    let mut texts: Vec<String> =
        values.into_iter().filter_map(Probability::new).map(|p| p.to_string()).collect();
    texts.dedup();
    texts
}

struct Filler<'d> {
    document: &'d Document<'d>,
    lines: &'d [GroupLine<'d>],
    profiles: &'d [Profile],
    /// The pair and losses of each lane, by group.
    lanes: Vec<Vec<(u32, u32, bool)>>,
    reasons: BTreeMap<String, usize>,
    /// The place of each yield in the list.
    yields: BTreeMap<String, usize>,
}

impl Filler<'_> {
    fn fill(mut self, mut island: Island) -> Island {
        let view = self.document.view;
        for (line, profile) in self.lines.iter().zip(self.profiles) {
            let lanes = self.lanes_of(line, profile);
            island.groups.push(self.group(line, profile, &lanes));
            self.lanes.push(lanes);
        }
        let mut position = vec![0usize; view.assessment.groups.len()];
        for (at, line) in self.lines.iter().enumerate() {
            position[line.index] = at;
        }
        for index in tightest_first(view, usize::MAX) {
            let end = &view.assessment.ends[index];
            self.end(index, end, position[end.group as usize], &mut island);
        }
        // The levels shown first are those of the tightest end whose way is known.
        island.first = island.ends.lane.iter().position(Option::is_some).unwrap_or(0);
        let mut reasons: Vec<(String, usize)> = self.reasons.into_iter().collect();
        reasons.sort_by_key(|(_, at)| *at);
        island.reasons = reasons.into_iter().map(|(text, _)| text).collect();
        island
    }

    /// Distinct combinations of pair, losses and direction.
    fn lanes_of(&self, line: &GroupLine<'_>, profile: &Profile) -> Vec<(u32, u32, bool)> {
        let mut lanes = Vec::new();
        let ends = &self.document.view.assessment.ends[line.group.ends.clone()];
        for (end, at) in ends.iter().zip(&profile.ends) {
            let Some(at) = at else { continue };
            let lane = (end.pair, at.losses, at.inward);
            if !lanes.contains(&lane) {
                lanes.push(lane);
            }
        }
        lanes
    }

    fn group(&self, line: &GroupLine<'_>, profile: &Profile, lanes: &[(u32, u32, bool)]) -> GroupData {
        let view = self.document.view;
        let meters = |length: crate::units::Kilometers| tenth(length.meters());
        let shapes = profile.shapes.iter().map(|shape| ShapeData {
            n: shape.points.iter().map(|at| view.plan.point_name(at.point)).collect(),
            k: shape.points.iter().map(|at| kind(at.point)).collect(),
            p: shape.points.iter().map(|at| at.parent).collect(),
            m: shape.points.iter().map(|at| meters(at.length)).collect(),
        });
        GroupData {
            id: line.id.to_string(),
            far: line.far.map(str::to_string),
            optic: line.optic.to_string(),
            served: line.group.served,
            km: [
                line.group.lengths.map(|(near, _)| meters(near)),
                line.group.lengths.map(|(_, far)| meters(far)),
            ],
            margin: hundredths_down(line.margin),
            headroom: hundredths_down(line.headroom),
            closes: line.closes.map_or_else(String::new, |p| p.to_string()),
            reserve: line.keeps_reserve.map_or_else(String::new, |p| p.to_string()),
            verdict: code(line.verdict),
            why: line.why.join(", "),
            shapes: shapes.collect(),
            losses: profile.losses.iter().map(loss_data).collect(),
            lanes: lanes.iter().map(|lane| self.lane(*lane)).collect(),
        }
    }

    fn lane(&self, lane: (u32, u32, bool)) -> LaneData {
        let (pair, losses, inward) = lane;
        let view = self.document.view;
        let pair: &Pair = &view.assessment.pairs.pairs[pair as usize];
        let window: &Window = &pair.window;
        let level = |value: Option<DecibelMilliwatts>| value.map(|level| thousandth(level.value()));
        let db = |value: Option<Decibels>| value.map(|value| thousandth(value.value()));
        let pon = pair.direction != crate::budget::Direction::AToB;
        let dir = match (pon, inward) {
            (true, _) => pair.direction.word(),
            (false, false) => "A to B",
            (false, true) => "B to A",
        };
        LaneData {
            losses,
            inward,
            dir,
            nm: pair.band.nominal.value(),
            tx: view.optic_name(pair.transmitter).to_string(),
            rx: view.optic_name(pair.receiver).to_string(),
            launch: [level(window.launch[0]), level(window.launch[1])],
            sens: level(window.sensitivity),
            over: level(window.overload),
            min: db(window.min),
            max: db(window.max),
            basis: window.basis.words(),
        }
    }

    fn end(&mut self, index: usize, end: &End, group: usize, island: &mut Island) {
        let view = self.document.view;
        let window = view.assessment.pair(end).window;
        let at = self.profiles[group].ends[index - self.lines[group].group.ends.start];
        let lane = at.and_then(|at| {
            let wanted = (end.pair, at.losses, at.inward);
            self.lanes[group].iter().position(|lane| *lane == wanted)
        });
        let known = |value: Option<Decibels>| value.filter(|_| end.missing.is_none());
        let name = view.port_name(premises_port(end));
        let point = at.map_or(0, |at| at.point);
        // The id of most ends is the name of their point already.
        let same = at.is_some_and(|at| {
            let shape = self.profiles[group].losses[at.losses as usize].shape;
            let of = &island.groups[group].shapes[shape as usize];
            of.n.get(point as usize).is_some_and(|known| known == name)
        });
        let count = self.reasons.len();
        let said = reason(view, end);
        let columns = &mut island.ends;
        columns.group.push(group);
        columns.lane.push(lane.filter(|_| end.missing.is_none()));
        columns.point.push(point);
        columns.id.push((!same).then(|| name.to_string()));
        columns.dir.push(end.direction.word());
        columns.meters.push(tenth(end.length.meters()));
        columns.least.push(hundredths_down(known(Some(end.least))));
        columns.typical.push(known(Some(end.typical)).map(|d| (d.value() * 100.0).round() as i64));
        columns.most.push(hundredths_up(known(Some(end.most))));
        columns.quantile.push(hundredths_up(end.statistics.map(|s| s.quantile)));
        columns.margin.push(hundredths_down(end.margin(&window)));
        columns.headroom.push(hundredths_down(end.headroom(&window)));
        let closes = end.statistics.and_then(|s| s.closes);
        columns.r#yield.push(closes.and_then(|p| self.yields.get(&p.to_string()).copied()));
        columns.verdict.push(code(end.verdict));
        columns.why.push(end.why);
        columns.reason.push(*self.reasons.entry(said).or_insert(count));
    }
}

/// Sums along a way, thousandths of a dB: least down, most up, so that the drawing never flatters.
fn loss_data(losses: &WayLosses) -> LossData {
    let of = |pick: usize, round: fn(f64) -> f64| {
        let values = losses.reached.iter();
        values.map(|reached| round(clean(reached[pick].value() * 1000.0)) as i64).collect()
    };
    LossData { shape: losses.shape, l: of(0, f64::floor), t: of(1, f64::round), w: of(2, f64::ceil) }
}

/// A value that is whole but for binary noise becomes whole.
fn clean(value: f64) -> f64 {
    if (value - value.round()).abs() < 1e-4 { value.round() } else { value }
}

fn thousandth(value: f64) -> f64 {
    (value * 1000.0).round() / 1000.0 + 0.0
}

fn tenth(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

fn hundredths_down(value: Option<Decibels>) -> Option<i64> {
    value.map(|value| (value.rounded_down().value() * 100.0).round() as i64)
}

fn hundredths_up(value: Option<Decibels>) -> Option<i64> {
    value.map(|value| (value.rounded_up().value() * 100.0).round() as i64)
}

fn code(verdict: Verdict) -> u8 {
    Verdict::ALL.iter().position(|known| *known == verdict).unwrap_or(0) as u8
}

/// What a point is, as one letter.
fn kind(point: PointRef) -> char {
    match point {
        PointRef::Port(_) | PointRef::PortTransmit(_) | PointRef::PortReceive(_) => 'P',
        PointRef::Position { .. } => 'O',
        PointRef::Splice { .. } => 'S',
        PointRef::SplitterInput { .. } => 'I',
        PointRef::SplitterLeg { .. } => 'L',
        PointRef::Tap { .. } => 'T',
        PointRef::WdmCommon(_) | PointRef::WdmLeg { .. } => 'W',
        PointRef::Attenuator { .. } => 'A',
    }
}
