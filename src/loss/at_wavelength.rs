//! The loss figures of everything in a plan, looked up once per wavelength.

use rustc_hash::FxHashMap;

use super::transition::{Transitions, transitions};
use super::{Part, RowRef, RowsMet, TableName};
use crate::plan::{JointKind, JointUse, Plan, SpliceLoss, Stated};
use crate::tables::{Band, Dirt, LossFigures, RowId, Tables};
use crate::units::{Decibels, Nanometers, PsPerNmKm};

/// A datum that no table has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Missing {
    /// Attenuation of a fiber type (index into the plan's fiber names) at the wavelength.
    Attenuation(u16),
    /// A joint kind (index into the plan's joint kinds).
    Joint(u16),
    /// A splitter's row (index of the splitter).
    Splitter(u32),
    /// A tap's row (index of the tap).
    Tap(u32),
    /// The figures of a splitter's row hold for other wavelengths (index of the splitter).
    SplitterBand(u32),
    /// The figures of a tap's row hold for other wavelengths (index of the tap).
    TapBand(u32),
    /// The fiber type is not made for the wavelength, measured or not (index into the plan's fiber names).
    FiberBand(u16),
    /// A wdm element's passband at the wavelength (index of the element).
    Wdm(u32),
}

/// Figures found in a table and the rows they come from.
pub(super) type Found = Option<(LossFigures, [Option<RowRef>; 2])>;

/// Everything that can be looked up once for all paths at one wavelength.
#[derive(Debug, Clone)]
pub struct AtWavelength<'p> {
    pub(super) plan: &'p Plan,
    pub(super) tables: &'p Tables,
    /// The transmitter's window.
    pub band: Band,
    pub(super) fibers: Vec<Found>,
    pub(super) dispersion: Vec<Option<(PsPerNmKm, PsPerNmKm)>>,
    pub(super) joints: Vec<Found>,
    /// What dirt does to each joint kind.
    pub(super) dirt: Vec<Option<Dirt>>,
    /// Reflectance of each joint kind.
    pub(super) reflectances: Vec<Option<Decibels>>,
    /// Reflectance of the end face of each connector that nothing is plugged into.
    pub(super) open_ends: Vec<Option<Decibels>>,
    /// Backscatter constant and group index of each fiber.
    pub(super) backscatters: Vec<Option<(Decibels, f64)>>,
    /// Whether each fiber type may be used at the wavelength.
    pub(super) usable: Vec<bool>,
    pub(super) splitters: FxHashMap<&'p str, (LossFigures, RowId)>,
    pub(super) transitions: Transitions,
    pub(super) repair_splice: Found,
    /// Rows of what each fiber and the polish of each joint kind are.
    fiber_rows: Vec<Vec<RowRef>>,
    polish_rows: Vec<Option<RowRef>>,
    rows_met: RowsMet,
}

/// A measurement holds for wavelengths this near to its own: joints and fiber change by well under
/// its uncertainty within it (common practice: 1310 and 1550 nm readings serve their windows).
const MEASURED_WITHIN_NM: f64 = 15.0;

impl<'p> AtWavelength<'p> {
    /// Looks up every fiber, joint and splitter of the plan at the nominal wavelength of `band`.
    pub fn new(plan: &'p Plan, tables: &'p Tables, band: Band) -> Self {
        let fibers = plan.fibers.iter().map(|fiber| attenuation(tables, fiber, band.nominal)).collect();
        let dispersion = plan.fibers.iter().map(|fiber| dispersion(tables, fiber, band)).collect();
        let joints = plan.joint_kinds.iter().map(|kind| joint(tables, kind)).collect();
        Self {
            plan,
            tables,
            band,
            fibers,
            dispersion,
            joints,
            dirt: plan.joint_kinds.iter().map(|kind| dirt(plan, tables, kind)).collect(),
            reflectances: plan.joint_kinds.iter().map(|kind| reflectance(tables, kind)).collect(),
            open_ends: plan.joint_kinds.iter().map(|kind| open_end(tables, kind)).collect(),
            backscatters: plan
                .fibers
                .iter()
                .map(|fiber| backscatter(tables, fiber, band.nominal))
                .collect(),
            usable: plan.fibers.iter().map(|fiber| usable(tables, fiber, band.nominal)).collect(),
            splitters: splitters(plan, tables),
            transitions: transitions(plan, tables, band.nominal),
            repair_splice: splice(tables, &plan.assumptions.repair_splice),
            fiber_rows: plan.fibers.iter().map(|fiber| fiber_rows(tables, fiber, band)).collect(),
            polish_rows: plan.joint_kinds.iter().map(|kind| polish_row(tables, kind)).collect(),
            rows_met: RowsMet::new(tables),
        }
    }

    /// The rows that all sums so far were made from.
    pub fn rows_met(&self) -> &RowsMet {
        &self.rows_met
    }

    /// The same figures with a set of rows of its own.
    pub(super) fn with_no_row_met(&self) -> Self {
        Self { rows_met: RowsMet::new(self.tables), ..self.clone() }
    }

    /// Takes note of the rows of a part that was added to a sum.
    pub(crate) fn meet(&self, part: &Part) {
        for row in part.rows.iter().flatten() {
            self.rows_met.add(*row);
        }
        if let Some(joint) = part.joint
            && let Some(row) = self.polish_rows.get(usize::from(joint.0)).copied().flatten()
        {
            self.rows_met.add(row);
        }
    }

    /// Takes note of a fiber that light runs through, whether its loss was measured or not.
    pub(super) fn meet_fiber(&self, fiber: u16) {
        for row in &self.fiber_rows[usize::from(fiber)] {
            self.rows_met.add(*row);
        }
    }

    /// The figures of a joint kind; zero for [`JointKind::None`].
    pub(super) fn joint(&self, joint: JointUse) -> Found {
        self.joints.get(usize::from(joint.0)).copied().flatten()
    }

    /// A measured loss at this wavelength.
    pub(super) fn measured(&self, index: Option<u32>) -> Option<LossFigures> {
        let values = &self.plan.measured.get(index? as usize)?.values;
        let near = |stated: &&Stated| {
            stated
                .at
                .is_none_or(|at| (at.value() - self.band.nominal.value()).abs() <= MEASURED_WITHIN_NM)
        };
        let distance = |stated: &&Stated| {
            stated.at.map_or(0.0, |at| (at.value() - self.band.nominal.value()).abs())
        };
        values
            .iter()
            .filter(near)
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .map(|stated| LossFigures::measured(stated.loss, stated.uncertainty))
    }

    /// Whether the wavelength lies in a band that figures hold for; a row without one holds everywhere.
    pub(super) fn within(&self, band: Option<(Nanometers, Nanometers)>) -> bool {
        band.is_none_or(|(shortest, longest)| (shortest..=longest).contains(&self.band.nominal))
    }

    /// Whether a wdm element passes the whole window between its common port and a leg.
    pub fn passes(&self, element: u32, leg: u16) -> bool {
        self.wdm_leg(element, leg).is_some()
    }

    /// The passband of a wdm leg that holds the whole window.
    pub(super) fn wdm_leg(&self, element: u32, leg: u16) -> Option<(LossFigures, RowId)> {
        wdm_leg(self.plan, self.tables, element, leg, self.band)
    }
}

/// The passband of a wdm leg that holds a whole window.
fn wdm_leg(
    plan: &Plan,
    tables: &Tables,
    element: u32,
    leg: u16,
    band: Band,
) -> Option<(LossFigures, RowId)> {
    let device = plan.wdm_elements.get(element as usize)?;
    let name = device.legs.get(usize::from(leg))?;
    let rows = tables.wdm_elements.rows();
    let index = rows.iter().position(|row| {
        let passband = &row.value;
        passband.element.eq_ignore_ascii_case(&device.kind)
            && passband.leg.eq_ignore_ascii_case(name)
            && band.within(passband.band)
    })?;
    Some((rows[index].value.figures, RowId(index as u32)))
}

fn attenuation(tables: &Tables, fiber: &str, at: Nanometers) -> Found {
    let name = tables.fibers.get(fiber).map_or(fiber, |row| row.key.as_str());
    let (figures, rows) = tables.attenuations.at(name, at)?;
    let row = |row| Some(RowRef { table: TableName::Attenuation, row });
    let second = (rows[0] != rows[1]).then_some(rows[1]).and_then(row);
    Some((figures, [row(rows[0]), second]))
}

/// Whether a fiber type may be used at a wavelength; of one that no table knows nothing is said here.
fn usable(tables: &Tables, fiber: &str, at: Nanometers) -> bool {
    tables.fibers.get(fiber).is_none_or(|row| (row.value.usable.0..=row.value.usable.1).contains(&at))
}

/// The lowest and highest dispersion over the window's two edges.
fn dispersion(tables: &Tables, fiber: &str, band: Band) -> Option<(PsPerNmKm, PsPerNmKm)> {
    let (low_a, high_a) = tables.dispersion(fiber, band.shortest)?;
    let (low_b, high_b) = tables.dispersion(fiber, band.longest)?;
    Some((low_a.min(low_b), high_a.max(high_b)))
}

/// The points that the dispersion of a fiber over a window comes from.
fn dispersion_rows(tables: &Tables, fiber: &str, band: Band) -> Vec<RowRef> {
    let key = tables.fibers.get(fiber).map_or(fiber, |row| row.key.as_str());
    let edges = [band.shortest, band.longest].into_iter();
    let rows = edges.filter_map(|at| tables.dispersions.at(key, at)).flat_map(|(_, rows)| rows);
    let mut rows: Vec<RowRef> = rows.map(|row| RowRef { table: TableName::Dispersion, row }).collect();
    rows.sort_unstable();
    rows.dedup();
    rows
}

fn joint(tables: &Tables, kind: &JointKind) -> Found {
    match kind {
        JointKind::None => Some((LossFigures::ZERO, [None, None])),
        JointKind::Connector { grade, .. } => {
            let id = tables.connectors.find(grade)?;
            let figures = tables.connectors.row(id).value.figures;
            Some((figures, [Some(RowRef { table: TableName::Connectors, row: id }), None]))
        }
        JointKind::Splice(kind) | JointKind::SplicesPerKilometer(SpliceLoss::Row(kind)) => {
            splice(tables, kind)
        }
        JointKind::SplicesPerKilometer(SpliceLoss::Stated(loss)) => {
            // Nobody says how little such splices may lose; the overload check takes nothing for it.
            let figures = LossFigures { least: Decibels::ZERO, ..LossFigures::fixed(loss.of_one()) };
            Some((figures, [None, None]))
        }
    }
}

/// What the plan says of dirt goes before what the grade's row says.
fn dirt(plan: &Plan, tables: &Tables, kind: &JointKind) -> Option<Dirt> {
    let JointKind::Connector { grade, .. } = kind else { return None };
    plan.assumptions.dirt.or_else(|| tables.connectors.get(grade)?.value.dirt)
}

fn reflectance(tables: &Tables, kind: &JointKind) -> Option<Decibels> {
    match kind {
        JointKind::None | JointKind::SplicesPerKilometer(SpliceLoss::Stated(_)) => None,
        JointKind::Connector { polish, .. } => tables.polishes.get(polish)?.value.mated_reflectance,
        JointKind::Splice(kind) | JointKind::SplicesPerKilometer(SpliceLoss::Row(kind)) => {
            tables.splices.get(kind)?.value.reflectance
        }
    }
}

fn open_end(tables: &Tables, kind: &JointKind) -> Option<Decibels> {
    let JointKind::Connector { polish, .. } = kind else { return None };
    tables.polishes.get(polish)?.value.open_reflectance
}

fn polish_row(tables: &Tables, kind: &JointKind) -> Option<RowRef> {
    let JointKind::Connector { polish, .. } = kind else { return None };
    Some(RowRef { table: TableName::Polishes, row: tables.polishes.find(polish)? })
}

/// The row of a fiber type, and the points of its dispersion.
fn fiber_rows(tables: &Tables, fiber: &str, band: Band) -> Vec<RowRef> {
    let own = tables.fibers.find(fiber).map(|row| RowRef { table: TableName::Fibers, row });
    own.into_iter().chain(dispersion_rows(tables, fiber, band)).collect()
}

fn backscatter(tables: &Tables, fiber: &str, at: Nanometers) -> Option<(Decibels, f64)> {
    let fiber = tables.fibers.get(fiber)?;
    let constant = tables.attenuations.backscatter(&fiber.key, at)?;
    Some((constant, fiber.value.group_index(at)?))
}

fn splice(tables: &Tables, kind: &str) -> Found {
    let id = tables.splices.find(kind)?;
    let figures = tables.splices.row(id).value.figures;
    Some((figures, [Some(RowRef { table: TableName::Splices, row: id }), None]))
}

fn splitters<'p>(plan: &'p Plan, tables: &Tables) -> FxHashMap<&'p str, (LossFigures, RowId)> {
    let mut found = FxHashMap::default();
    for device in &plan.splitters {
        if found.contains_key(&*device.kind) {
            continue;
        }
        if let Some(id) = tables.splitters.find(&device.kind) {
            found.insert(&*device.kind, (tables.splitters.row(id).value.figures, id));
        }
    }
    found
}
