//! `connectors`, `polishes` and `splices`.

use super::cells::Cells;
use super::fiber::fiber_kind;
use super::figures::{Floor, LOSS_COLUMNS, loss_figures};
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{ConnectorGrade, FiberKind, Polish, SpliceKind};

pub(super) static CONNECTORS: Layout<ConnectorGrade> = Layout {
    name: "connectors",
    built_in: include_str!("../../../reference-tables/connectors.csv"),
    required: &["grade", "most_db"],
    slot: |tables| &mut tables.connectors,
    row: connector,
    clashes: no_clashes,
};

pub(super) static POLISHES: Layout<Polish> = Layout {
    name: "polishes",
    built_in: include_str!("../../../reference-tables/polishes.csv"),
    required: &["polish", "mates_with"],
    slot: |tables| &mut tables.polishes,
    row: polish,
    clashes: no_clashes,
};

pub(super) static SPLICES: Layout<SpliceKind> = Layout {
    name: "splices",
    built_in: include_str!("../../../reference-tables/splices.csv"),
    required: &["splice", "most_db"],
    slot: |tables| &mut tables.splices,
    row: splice,
    clashes: no_clashes,
};

/// A connector's fiber kind; `any` or nothing: both.
fn connector_kind(cells: &mut Cells<'_>) -> Option<FiberKind> {
    match cells.text("kind") {
        "any" => None,
        "SM" | "MM" | "" => fiber_kind(cells, "kind"),
        _ => cells.word("kind", |_| None, &["SM", "MM", "any"]),
    }
}

fn connector(cells: &mut Cells<'_>) -> Option<Entry<ConnectorGrade>> {
    let key = cells.name("grade");
    let kind = connector_kind(cells);
    let figures = loss_figures(cells, &LOSS_COLUMNS, Floor::NONE);
    let value = ConnectorGrade { kind, figures: figures? };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}

fn polish(cells: &mut Cells<'_>) -> Option<Entry<Polish>> {
    let key = cells.name("polish");
    let mated_reflectance = cells.reflectance("mated_reflectance_db");
    let open_reflectance = cells.reflectance("open_reflectance_db");
    let mates_with = cells.list("mates_with");
    let listed = (!mates_with.is_empty()).then_some(());
    cells.need("mates_with", listed)?;
    let value = Polish { mated_reflectance, open_reflectance, mates_with };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}

fn splice(cells: &mut Cells<'_>) -> Option<Entry<SpliceKind>> {
    let key = cells.name("splice");
    let figures = loss_figures(cells, &LOSS_COLUMNS, Floor::NONE);
    let reflectance = cells.reflectance("reflectance_db");
    let value = SpliceKind { figures: figures?, reflectance };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}
