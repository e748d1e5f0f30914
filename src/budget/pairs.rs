//! Which optics face each other, looked up once for all ends alike.

use rustc_hash::{FxHashMap, FxHashSet};

use super::{Direction, Window, window};
use crate::plan::{Plan, PointRef, PortKind, Span};
use crate::tables::conditioning::takes_conditioning;
use crate::tables::{
    Band, DispersionLimits, Family, FiberKind, Grade, LevelTerms, Optic, Role, Surplus, Tables,
};
use crate::units::{Decibels, Kilometers, PsPerNm};

/// One written optic name and what the tables make of it.
#[derive(Debug, Clone)]
pub struct OpticUse {
    /// The name as written.
    pub written: String,
    /// What it is; `None` for an unknown name.
    pub optic: Option<Optic>,
    /// What carries the signal where no light leaves the module: `copper pairs`.
    pub electrical: Option<String>,
}

/// Two optics facing each other in one direction on one lane.
#[derive(Debug, Clone, PartialEq)]
pub struct Pair {
    /// Index of the sending optic.
    pub transmitter: u16,
    /// Index of the receiving optic.
    pub receiver: u16,
    /// Lane of the sending optic, from 0.
    pub lane: u16,
    /// The direction for a PON; [`Direction::AToB`] for interfaces.
    pub direction: Direction,
    /// The transmit window of the lane.
    pub band: Band,
    /// Index of the wavelength in the list of all wavelengths in use.
    pub wavelength: u16,
    /// The loss window.
    pub window: Window,
    /// Whether the transmit window lies within the receiver's range; `None` = not known.
    pub received: Option<bool>,
    /// Reach of the class, or of the interface on single-mode fiber.
    pub reach: Option<Kilometers>,
    /// The fiber kind the optics are made for.
    pub fiber_kind: FiberKind,
    /// The grade of multimode fiber that the window holds for.
    pub grade: PairGrade,
    /// Chromatic dispersion the interface stands, least and most.
    pub dispersion: [Option<PsPerNm>; 2],
    /// Whether that follows from bit rate and line width, the interface stating none.
    pub dispersion_is_assumed: bool,
    /// Return loss the class or interface demands of the plant.
    pub min_return_loss: Option<Decibels>,
    /// The strongest reflectance of a single joint that it tolerates.
    pub max_reflectance: Option<Decibels>,
    /// Whether the levels of this system are stated in modulation amplitude.
    pub in_amplitude: bool,
    /// Whether both directions share one fiber.
    pub single_fiber: bool,
    /// By how much specimens launch more and hear better than the window takes them to.
    pub surplus: [Option<Surplus>; 2],
}

/// All optics of a plan and the pairs they form.
#[derive(Debug, Clone, Default)]
pub struct Pairs {
    /// Distinct optics (a name in a port and in an ONT may be two).
    pub optics: Vec<OpticUse>,
    /// Pairs in the order they were met.
    pub pairs: Vec<Pair>,
    /// Distinct transmit windows.
    pub bands: Vec<Band>,
    by_set: FxHashMap<(u32, PortKind, bool), Vec<u16>>,
    /// Ports whose cord conditions the modes of older multimode fiber.
    conditioned: FxHashSet<u32>,
    by_optics: FxHashMap<(u16, u16), Vec<u32>>,
    by_grade: FxHashMap<(u32, Grade), u32>,
}

/// The grade of multimode fiber that the window of a pair holds for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PairGrade {
    /// It does not depend on the grade.
    Any,
    /// This one.
    Known(Grade),
    /// One that is not known: the strictest limits hold.
    Unknown,
}

impl Pairs {
    /// Looks up every optic of a plan and every pair that could meet.
    pub fn of(plan: &Plan, tables: &Tables) -> Self {
        let mut pairs = Self { conditioned: conditioned(plan, tables), ..Self::default() };
        for (index, port) in plan.ports.iter().enumerate() {
            if let Some(set) = port.optics {
                let conditioned = pairs.conditioned.contains(&(index as u32));
                pairs.add_set(plan, tables, set, (port.kind, conditioned));
            }
        }
        pairs.add_bands();
        pairs.add_pairs(plan, tables);
        pairs
    }

    fn add_set(
        &mut self,
        plan: &Plan,
        tables: &Tables,
        set: u32,
        (kind, conditioned): (PortKind, bool),
    ) {
        if self.by_set.contains_key(&(set, kind, conditioned)) {
            return;
        }
        let role = if kind == PortKind::Ont { Role::Onu } else { Role::Olt };
        let names = plan.optic_sets.get(set as usize).map_or(&[][..], Vec::as_slice);
        let list = names
            .iter()
            .map(|name| {
                let optic = Optic::find(tables, name, role);
                let optic =
                    if conditioned { optic.map(|optic| behind_cord(optic, tables)) } else { optic };
                let same = |known: &OpticUse| known.written == *name && known.optic == optic;
                let found = self.optics.iter().position(same);
                found.unwrap_or_else(|| {
                    let carries = tables.electrical(name).filter(|_| optic.is_none());
                    let electrical = carries.map(|word| word.meaning.clone());
                    self.optics.push(OpticUse { written: name.clone(), optic, electrical });
                    self.optics.len() - 1
                }) as u16
            })
            .collect();
        self.by_set.insert((set, kind, conditioned), list);
    }

    fn add_bands(&mut self) {
        for optic in self.optics.iter().filter_map(|used| used.optic.as_ref()) {
            for band in &optic.transmit {
                if !self.bands.contains(band) {
                    self.bands.push(*band);
                }
            }
        }
    }

    fn add_pairs(&mut self, plan: &Plan, tables: &Tables) {
        for tx in 0..self.optics.len() as u16 {
            for rx in 0..self.optics.len() as u16 {
                let made = self.make(plan, tables, (tx, rx));
                let first = self.pairs.len() as u32;
                let ids = first..first + made.len() as u32;
                self.pairs.extend(made);
                for base in ids.clone() {
                    self.add_grades(plan, tables, base);
                }
                self.by_optics.insert((tx, rx), ids.collect());
            }
        }
    }

    /// The same pair on each grade of multimode fiber, where its window depends on the grade.
    fn add_grades(&mut self, plan: &Plan, tables: &Tables, base: u32) {
        let pair = self.pairs[base as usize].clone();
        let (Some(a), Some(b)) = (self.optic(pair.transmitter), self.optic(pair.receiver)) else {
            return;
        };
        if pair.grade != PairGrade::Unknown {
            return;
        }
        let key = |name: &String| tables.fibers.get(name).map(|row| row.key.clone());
        let of_plan = plan.fibers.iter().filter_map(key).filter_map(|key| Grade::of(&key));
        let mut grades: Vec<Grade> = of_plan.flat_map(Grade::and_met).collect();
        grades.sort_unstable();
        grades.dedup();
        let windows: Vec<_> =
            grades.into_iter().map(|grade| (grade, window(tables, a, b, Some(grade)))).collect();
        for (grade, window) in windows {
            self.by_grade.insert((base, grade), self.pairs.len() as u32);
            self.pairs.push(Pair { window, grade: PairGrade::Known(grade), ..pair.clone() });
        }
    }

    /// The pair whose window holds on a way over fibers of these grades (`None` = not known): of several
    /// the one that allows least. A fiber meets what lower grades of its core ask for too: where the way
    /// is `within` the reach of such a grade, its limit holds as well, and the greater one counts.
    pub fn on_grades(
        &self,
        base: u32,
        grades: impl Iterator<Item = Option<Grade>>,
        within: impl Fn(Grade) -> bool,
    ) -> u32 {
        if self.pairs[base as usize].grade != PairGrade::Unknown {
            return base;
        }
        let most = |pair: &u32| {
            self.pairs[*pair as usize].window.max.map_or(f64::NEG_INFINITY, Decibels::value)
        };
        let of = |grade: Option<Grade>| {
            let Some(own) = grade else { return base };
            let met = own.and_met().filter(|grade| *grade == own || within(*grade));
            let pairs = met.filter_map(|grade| self.by_grade.get(&(base, grade)).copied());
            // Of equal limits the fiber's own grade is named.
            pairs.max_by(|a, b| most(a).total_cmp(&most(b))).unwrap_or(base)
        };
        grades.map(of).min_by(|a, b| most(a).total_cmp(&most(b))).unwrap_or(base)
    }

    /// One pair per lane; none for optics that cannot belong together at all.
    fn make(&self, plan: &Plan, tables: &Tables, (tx, rx): (u16, u16)) -> Vec<Pair> {
        let (Some(a), Some(b)) = (self.optic(tx), self.optic(rx)) else { return Vec::new() };
        let direction = match (a.role, b.role) {
            (Role::Olt, Role::Onu) if a.system(tables) == b.system(tables) => Direction::Downstream,
            (Role::Onu, Role::Olt) if a.system(tables) == b.system(tables) => Direction::Upstream,
            (Role::Peer, Role::Peer) => Direction::AToB,
            _ => return Vec::new(),
        };
        let base = window(tables, a, b, None);
        let limits = Limits::of(tables, a);
        let depends = Grade::ALL.into_iter().any(|grade| window(tables, a, b, Some(grade)) != base);
        let grade = if depends { PairGrade::Unknown } else { PairGrade::Any };
        a.transmit
            .iter()
            .enumerate()
            .map(|(lane, band)| Pair {
                transmitter: tx,
                receiver: rx,
                lane: lane as u16,
                direction,
                band: *band,
                wavelength: self.bands.iter().position(|known| known == band).unwrap_or(0) as u16,
                window: base,
                grade,
                received: received(*band, lane, b),
                reach: limits.reach,
                fiber_kind: limits.fiber_kind,
                dispersion: limits.dispersion.range,
                dispersion_is_assumed: limits.dispersion.is_assumed,
                min_return_loss: limits.min_return_loss,
                max_reflectance: limits.max_reflectance,
                in_amplitude: limits.in_amplitude,
                single_fiber: limits.single_fiber,
                surplus: [surplus(plan, tables, a)[0], surplus(plan, tables, b)[1]],
            })
            .collect()
    }

    /// The optic of an index, if its name is known.
    pub fn optic(&self, index: u16) -> Option<&Optic> {
        self.optics.get(usize::from(index))?.optic.as_ref()
    }

    /// What carries the signal of a module that no light leaves; `None` for optics and unknown names.
    pub fn electrical(&self, index: u16) -> Option<&str> {
        self.optics.get(usize::from(index))?.electrical.as_deref()
    }

    /// The optics of a port.
    pub fn of_port(&self, plan: &Plan, port: u32) -> &[u16] {
        let conditioned = self.conditioned.contains(&port);
        let port = &plan.ports[port as usize];
        port.optics
            .and_then(|set| self.by_set.get(&(set, port.kind, conditioned)))
            .map_or(&[], Vec::as_slice)
    }

    /// The pairs (one per lane) from one optic to another; empty when they do not belong together.
    pub fn between(&self, transmitter: u16, receiver: u16) -> &[u32] {
        self.by_optics.get(&(transmitter, receiver)).map_or(&[], Vec::as_slice)
    }
}

/// The ports with a mode-conditioning cord of a fiber that takes one.
fn conditioned(plan: &Plan, tables: &Tables) -> FxHashSet<u32> {
    if !plan.builds.iter().any(|build| build.mode_conditioning == Some(true)) {
        return FxHashSet::default();
    }
    let takes = |span: &&Span| {
        let fiber = plan.fibers.get(usize::from(span.fiber)).and_then(|name| tables.fibers.get(name));
        let is_cord = plan.build_of(span).is_some_and(|build| build.mode_conditioning == Some(true));
        is_cord && fiber.is_some_and(|row| takes_conditioning(&row.key))
    };
    let ends = plan.spans.iter().filter(takes).flat_map(|span| [span.from, span.to]);
    let port = |point| match point {
        PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) => Some(port),
        _ => None,
    };
    ends.filter_map(port).collect()
}

/// The optic as it counts behind a mode-conditioning cord.
fn behind_cord(optic: Optic, tables: &Tables) -> Optic {
    let own = optic.interface(tables).map(|row| row.key.as_str());
    let row = own.and_then(|own| tables.behind_conditioning_cord(own));
    let found = row.and_then(|row| Some((row, tables.interfaces.find(&row.key)?)));
    found.map_or(optic, |(row, id)| Optic::of_interface(row, id))
}

/// By how much an optic's launch and sensitivity are better than their worst values: by its row, else as the
/// plan says of all.
fn surplus(plan: &Plan, tables: &Tables, optic: &Optic) -> [Option<Surplus>; 2] {
    let [launch, sensitivity] = tables.surplus_of(optic);
    let [any_launch, any_sensitivity] = plan.assumptions.surplus;
    [launch.or(any_launch), sensitivity.or(any_sensitivity)]
}

/// Whether a receiver is specified for a transmit window. A receiver with one range takes every lane
/// in it; one with a range per lane takes each lane in its own.
fn received(band: Band, lane: usize, receiver: &Optic) -> Option<bool> {
    if receiver.receive.is_empty() {
        return None;
    }
    let any = receiver.receive.iter().any(|range| band.within(*range));
    let own = receiver.receive.get(lane).is_some_and(|range| band.within(*range));
    Some(any || own)
}

/// What the sending side's class or interface demands of the path.
struct Limits {
    reach: Option<Kilometers>,
    fiber_kind: FiberKind,
    dispersion: DispersionLimits,
    min_return_loss: Option<Decibels>,
    max_reflectance: Option<Decibels>,
    in_amplitude: bool,
    single_fiber: bool,
}

impl Limits {
    fn of(tables: &Tables, optic: &Optic) -> Self {
        match optic.family {
            Family::Pon(id) => {
                let class = &tables.pon_classes.row(id).value;
                Self {
                    reach: class.reach,
                    fiber_kind: FiberKind::SingleMode,
                    dispersion: DispersionLimits::default(),
                    min_return_loss: class.min_return_loss,
                    max_reflectance: class.max_reflectance,
                    in_amplitude: class.levels == Some(LevelTerms::Oma),
                    single_fiber: true,
                }
            }
            Family::Interface(id) => {
                let interface = &tables.interfaces.row(id).value;
                Self {
                    reach: interface.reach_single_mode,
                    fiber_kind: interface.fiber_kind,
                    dispersion: interface.dispersion_limits(),
                    min_return_loss: interface.min_return_loss,
                    max_reflectance: interface.max_reflectance,
                    in_amplitude: interface.levels == Some(LevelTerms::Oma),
                    single_fiber: interface.fibers == 1,
                }
            }
        }
    }
}
