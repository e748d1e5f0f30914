//! The levels of light at the points where a meter can be plugged: of each system alone, which is what a
//! meter that filters its wavelength reads, and of all light that arrives from one side together, which is
//! what a meter without a filter reads.

use std::collections::BTreeMap;

use rustc_hash::FxHashMap;

use super::work::Work;
use crate::budget::{End, EndAt, GroupKind, Profile, Shape, Verdict, Window};
use crate::plan::{JointKind, PointRef};
use crate::plant::{Link, is_port};
use crate::units::{DecibelMilliwatts, Decibels, Nanometers};

/// Where and what is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Key {
    pub(super) line: usize,
    pub(super) point: PointRef,
    pub(super) inward: bool,
    pub(super) pair: u32,
}

/// From which side light comes to a point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Side {
    /// Out of the device that the point belongs to.
    Device,
    /// Out of what is attached to it.
    Outside(Link),
}

/// Least, expected and most.
pub(super) type Levels = [DecibelMilliwatts; 3];

/// What must be read of one system, over all ends that share the point.
#[derive(Debug, Clone, Copy)]
pub(super) struct Expected {
    pub(super) least: DecibelMilliwatts,
    pub(super) typical: [DecibelMilliwatts; 2],
    pub(super) most: DecibelMilliwatts,
    pub(super) stop_below: DecibelMilliwatts,
    pub(super) stop_above: DecibelMilliwatts,
    pub(super) ends: u64,
    /// The worst verdict of the ends.
    pub(super) verdict: Verdict,
    side: Side,
    /// The wavelength; none for parallel optics, where each fiber has one lane of them.
    nm: Option<Nanometers>,
}

/// What a meter without a filter reads where more than one system's light arrives.
#[derive(Debug, Clone)]
pub(super) struct Together {
    pub(super) levels: Levels,
    /// The wavelengths of the others, shortest first.
    pub(super) others: Vec<Nanometers>,
}

/// One light at a point: the PON or link, whether it runs to its own port, and the wavelength.
#[derive(Debug, Clone, Copy)]
struct Light {
    line: usize,
    inward: bool,
    nm: Option<Nanometers>,
    least: DecibelMilliwatts,
    typical: [DecibelMilliwatts; 2],
    most: DecibelMilliwatts,
}

/// All levels of a plan.
pub(super) struct Readings {
    /// Of each system alone, in the order of the lines and points.
    pub(super) alone: BTreeMap<Key, Expected>,
    together: FxHashMap<(PointRef, Side), Vec<Light>>,
    receivers: FxHashMap<usize, Key>,
}

impl Readings {
    pub(super) fn of(work: &Work<'_>) -> Self {
        let mut found = Self {
            alone: BTreeMap::new(),
            together: FxHashMap::default(),
            receivers: FxHashMap::default(),
        };
        let ends = &work.document.view.assessment.ends;
        for (line, profile) in work.profiles.iter().enumerate() {
            let range = work.lines[line].group.ends.clone();
            for ((index, end), at) in range.clone().zip(&ends[range]).zip(&profile.ends) {
                let Some(at) = at.filter(|_| end.missing.is_none()) else { continue };
                found.along(work, (line, profile), (index, end), at);
            }
        }
        found.add_alone();
        found.add_passing_by(work);
        found
    }

    /// What a meter without a filter reads at a row's point; `None` where there is no other light.
    pub(super) fn together(&self, key: &Key) -> Option<Together> {
        let own = self.alone.get(key)?;
        let lights = self.together.get(&(key.point, own.side))?;
        let is_own =
            |light: &&Light| (light.line, light.inward, light.nm) == (key.line, key.inward, own.nm);
        let mut others: Vec<Nanometers> =
            lights.iter().filter(|light| !is_own(light)).filter_map(|light| light.nm).collect();
        if lights.len() < 2 {
            return None;
        }
        others.sort_by(|a, b| a.value().total_cmp(&b.value()));
        let sum = |of: fn(&Light) -> DecibelMilliwatts| DecibelMilliwatts::total(lights.iter().map(of));
        let levels =
            [sum(|light| light.least)?, sum(|light| middle(light.typical))?, sum(|light| light.most)?];
        Some(Together { levels, others })
    }

    /// The same at the receiver of an end, by its index.
    pub(super) fn together_at_receiver(&self, end: usize) -> Option<Together> {
        self.together(self.receivers.get(&end)?)
    }

    /// Whether light of more than one system meets anywhere.
    pub(super) fn any_together(&self) -> bool {
        self.together.values().any(|lights| lights.len() > 1)
    }

    /// The points on the way of one end.
    fn along(&mut self, work: &Work<'_>, line: (usize, &Profile), end: (usize, &End), at: EndAt) {
        let ((line, profile), (number, end)) = (line, end);
        let losses = &profile.losses[at.losses as usize];
        let shape = &profile.shapes[losses.shape as usize];
        let pair = work.document.view.assessment.pair(end);
        let [Some(low), Some(high)] = pair.window.launch else { return };
        let nm = (!is_parallel(work, pair.transmitter)).then_some(pair.band.nominal);
        let far = losses.reached[at.point as usize];
        let (mut index, mut before) = (at.point as usize, None);
        loop {
            let point = shape.points[index].point;
            if is_open_to_a_meter(work, point) {
                let here = losses.reached[index];
                let passed = |pick: usize| if at.inward { far[pick] - here[pick] } else { here[pick] };
                let passed = [passed(0), passed(1), passed(2)];
                let side = side(shape, at.inward, index, before);
                let this = at_point(end, [low, high], passed, (pair.window, side, nm));
                let key = Key { line, point, inward: at.inward, pair: end.pair };
                let join = |known: &mut Expected| known.join(&this, at.inward);
                self.alone.entry(key).and_modify(join).or_insert(this);
                let receives = if at.inward { index == 0 } else { before.is_none() };
                if receives {
                    self.receivers.insert(number, key);
                }
            }
            if index == 0 {
                break;
            }
            before = Some(index);
            index = shape.points[index].parent as usize;
        }
    }

    /// The light of each row. One system's rows at a point are one light: their optics take turns.
    fn add_alone(&mut self) {
        for (key, expected) in &self.alone {
            let Expected { least, typical, most, nm, .. } = *expected;
            let light = Light { line: key.line, inward: key.inward, nm, least, typical, most };
            let lights = self.together.entry((key.point, expected.side)).or_default();
            let same = |known: &&mut Light| {
                (known.line, known.inward, known.nm) == (light.line, light.inward, light.nm)
            };
            match lights.iter_mut().find(same) {
                Some(known) => {
                    known.least = known.least.min(least);
                    known.typical = [known.typical[0].min(typical[0]), known.typical[1].max(typical[1])];
                    known.most = known.most.max(most);
                }
                None => lights.push(light),
            }
        }
    }

    /// The light of PONs that passes points behind which none of their own ends lies: it is there all the
    /// same, and a meter without a filter reads it.
    fn add_passing_by(&mut self, work: &Work<'_>) {
        let pons = work.lines.iter().enumerate().filter(|(_, line)| line.group.kind == GroupKind::Pon);
        for (line, of) in pons {
            let optic = work.document.view.assessment.pairs.optic(of.group.optic);
            let Some([Some(low), Some(high)]) = optic.map(|optic| optic.launch) else { continue };
            let middle = middle([low, high]);
            for (band, points) in work.walker.lit(of.group) {
                let nm = Some(band.nominal);
                for lit in points {
                    let at = (lit.point, Side::of(lit.link));
                    let Some(lights) = self.together.get_mut(&at) else { continue };
                    if lights
                        .iter()
                        .any(|known| (known.line, known.inward, known.nm) == (line, false, nm))
                    {
                        continue;
                    }
                    let [least, typical, most] = lit.losses;
                    let typical = [middle - typical; 2];
                    let (least, most) = (low - most, high - least);
                    lights.push(Light { line, inward: false, nm, least, typical, most });
                }
            }
        }
    }
}

impl Side {
    fn of(crossed: Option<Link>) -> Self {
        crossed.filter(|link| !link.is_internal()).map_or(Self::Device, Self::Outside)
    }
}

/// From where the light of a way comes to one of its points; `before` is the point behind it.
fn side(shape: &Shape, inward: bool, index: usize, before: Option<usize>) -> Side {
    let crossed = if inward { before } else { Some(index) };
    Side::of(crossed.and_then(|index| shape.points[index].link))
}

/// Whether the lanes of an optic run in fibers of their own.
fn is_parallel(work: &Work<'_>, optic: u16) -> bool {
    let view = work.document.view;
    let interface = view.assessment.pairs.optic(optic).and_then(|optic| optic.interface(view.tables));
    interface.is_some_and(|row| row.value.fibers > 2)
}

/// The level at a point of one end's way.
fn at_point(
    end: &End,
    launch: [DecibelMilliwatts; 2],
    passed: [Decibels; 3],
    (window, side, nm): (Window, Side, Option<Nanometers>),
) -> Expected {
    let [low, high] = launch;
    let [least, typical, most] = passed;
    let middle = middle([low, high]) - typical;
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
        verdict: end.verdict,
        side,
        nm,
    }
}

impl Expected {
    /// The readings at which to stop. None where the plan itself is at fault, so that even what it expects
    /// would be a reason to stop: such a plan is mended, not measured.
    pub(super) fn stops(&self) -> Option<[DecibelMilliwatts; 2]> {
        let expected = middle(self.typical);
        let sound = self.stop_below <= expected && expected <= self.stop_above;
        sound.then_some([self.stop_below, self.stop_above])
    }

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
        self.verdict = self.verdict.max(other.verdict);
    }
}

/// The middle of what is expected.
pub(super) fn middle(typical: [DecibelMilliwatts; 2]) -> DecibelMilliwatts {
    DecibelMilliwatts::new(f64::midpoint(typical[0].value(), typical[1].value()))
}

/// Whether a meter can be plugged at a point: a port, or a connector.
fn is_open_to_a_meter(work: &Work<'_>, point: PointRef) -> bool {
    let joint = work.joint_kind(work.plan().joint_at(point).0);
    is_port(point) || matches!(joint, Some(JointKind::Connector { .. }))
}
