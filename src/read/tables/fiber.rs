//! `fibers`, `fiber-attenuation`, `fiber-dispersion` and `fiber-transitions`.

use super::cells::{Cells, DIAMETER, PLAIN, PMD, clip};
use super::figures::{FigureColumns, Floor, LOSS_COLUMNS, loss_figures};
use super::layout::{Entry, Layout, no_clashes};
use crate::check::nearest;
use crate::tables::{AttenuationPoint, DispersionPoint, FiberKind, FiberType, ShapeKind, Transition};
use crate::units::{Decibels, Micrometers, PsPerNmKm, PsPerRootKm};

pub(super) static FIBERS: Layout<FiberType> = Layout {
    name: "fibers",
    built_in: include_str!("../../../reference-tables/fibers.csv"),
    required: &["fiber", "kind", "nm_min", "nm_max"],
    slot: |tables| &mut tables.fibers,
    row: fiber,
    clashes: no_clashes,
};

pub(super) static ATTENUATION: Layout<AttenuationPoint> = Layout {
    name: "fiber-attenuation",
    built_in: include_str!("../../../reference-tables/fiber-attenuation.csv"),
    required: &["fiber", "nm", "most_db_km"],
    slot: |tables| &mut tables.attenuation,
    row: attenuation,
    clashes: no_clashes,
};

pub(super) static DISPERSION: Layout<DispersionPoint> = Layout {
    name: "fiber-dispersion",
    built_in: include_str!("../../../reference-tables/fiber-dispersion.csv"),
    required: &["fiber", "nm", "least_ps_nm_km", "most_ps_nm_km"],
    slot: |tables| &mut tables.dispersion_points,
    row: dispersion,
    clashes: no_clashes,
};

pub(super) static TRANSITIONS: Layout<Transition> = Layout {
    name: "fiber-transitions",
    built_in: include_str!("../../../reference-tables/fiber-transitions.csv"),
    required: &["fiber_a", "fiber_b", "most_db"],
    slot: |tables| &mut tables.transitions,
    row: transition,
    clashes: no_clashes,
};

/// The kind of fiber a row is for.
pub(super) fn fiber_kind(cells: &mut Cells<'_>, column: &str) -> Option<FiberKind> {
    cells.word(column, FiberKind::from_word, &["SM", "MM"])
}

fn fiber(cells: &mut Cells<'_>) -> Option<Entry<FiberType>> {
    let key = cells.name("fiber");
    let kind = fiber_kind(cells, "kind");
    let kind = cells.need("kind", kind);
    let usable = cells.need_range("nm_min", "nm_max");
    let group_index = ["group_index_850", "group_index_1310", "group_index_1550"]
        .map(|column| cells.number(column, &PLAIN));
    let mode_field = ["mfd_1310_um", "mfd_1550_um"]
        .map(|column| cells.number(column, &DIAMETER).map(Micrometers::new));
    let zero_dispersion = cells.range("zero_dispersion_min_nm", "zero_dispersion_max_nm");
    let zero_dispersion_slope = cells.number("zero_dispersion_slope_max", &PLAIN);
    let [low, high] = cells.ordered(["dispersion_1550_min", "dispersion_1550_max"], |cells, column| {
        cells.number(column, &PLAIN).map(PsPerNmKm::new)
    });
    let bandwidth_850 = cells.number("bandwidth_850_mhz_km", &PLAIN);
    let pmd = cells.number("pmd_ps_sqrt_km", &PMD).map(PsPerRootKm::new);
    let core = cells.number("core_um", &DIAMETER).map(Micrometers::new);
    let value = FiberType {
        kind: kind?,
        usable: usable?,
        group_index,
        mode_field,
        zero_dispersion,
        zero_dispersion_slope,
        dispersion_1550: low.zip(high),
        core,
        pmd,
        bandwidth_850,
    };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}

/// The key of the fiber type that a cell names, by whatever alias.
fn fiber_name(cells: &mut Cells<'_>, column: &str) -> Option<String> {
    let written = cells.name(column)?;
    let fibers = &cells.tables.fibers;
    if let Some(row) = fibers.get(&written) {
        return Some(row.key.clone());
    }
    let near = nearest(&written, fibers.names());
    let hint = near.map_or_else(
        || "a fiber of one's own is first stated in `fibers.csv`".to_string(),
        |near| format!("did you mean `{near}`?"),
    );
    cells.bad(column, format!("`{}` is not a fiber type", clip(&written)), hint);
    None
}

fn attenuation(cells: &mut Cells<'_>) -> Option<Entry<AttenuationPoint>> {
    const COLUMNS: FigureColumns = FigureColumns {
        least: "least_db_km",
        typical: "typical_db_km",
        most: "most_db_km",
        spread: "spread_db_km",
        within: None,
        shape: None,
    };
    let fiber = fiber_name(cells, "fiber");
    let at = cells.wavelength("nm");
    let at = cells.need("nm", at);
    let per_km = loss_figures(cells, &COLUMNS, Floor::NONE);
    let backscatter = cells.reflectance("backscatter_db");
    let (fiber, at, mut per_km) = (fiber?, at?, per_km?);
    // The table has no column for the shape: fiber is normal around its mean.
    if per_km.spread > Decibels::ZERO {
        per_km.shape = ShapeKind::Normal;
    }
    let key = format!("{fiber} @ {} nm", at.value());
    Some(Entry { key, aliases: vec![], value: AttenuationPoint { fiber, at, per_km, backscatter } })
}

fn dispersion(cells: &mut Cells<'_>) -> Option<Entry<DispersionPoint>> {
    let fiber = fiber_name(cells, "fiber");
    let at = cells.wavelength("nm");
    let at = cells.need("nm", at);
    let [least, most] = cells.ordered(["least_ps_nm_km", "most_ps_nm_km"], |cells, column| {
        let value = cells.number(column, &PLAIN).map(PsPerNmKm::new);
        cells.need(column, value)
    });
    let (fiber, at, range) = (fiber?, at?, least.zip(most)?);
    let key = format!("{fiber} @ {} nm", at.value());
    Some(Entry { key, aliases: vec![], value: DispersionPoint { fiber, at, range } })
}

fn transition(cells: &mut Cells<'_>) -> Option<Entry<Transition>> {
    let fiber_a = fiber_name(cells, "fiber_a");
    let fiber_b = fiber_name(cells, "fiber_b");
    let figures = loss_figures(cells, &LOSS_COLUMNS, Floor::NONE);
    let (mut fiber_a, mut fiber_b, figures) = (fiber_a?, fiber_b?, figures?);
    if fiber_a == fiber_b {
        let message = format!("`{fiber_b}` is the same fiber type; a transition needs two");
        cells.bad("fiber_b", message, "");
        return None;
    }
    // The loss is the same either way; a pair that is known the other way round is that pair.
    let key_of = |a: &str, b: &str| format!("{a} to {b}");
    if cells.tables.transitions.find(&key_of(&fiber_b, &fiber_a)).is_some() {
        std::mem::swap(&mut fiber_a, &mut fiber_b);
    }
    let key = key_of(&fiber_a, &fiber_b);
    Some(Entry { key, aliases: vec![], value: Transition { fiber_a, fiber_b, figures } })
}
