//! `connectors`, `polishes` and `splices`.

use super::cells::{Cells, PERCENT};
use super::fiber::fiber_kind;
use super::figures::{Floor, JOINT_COLUMNS, loss_figures};
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{ConnectorGrade, Dirt, FiberKind, Polish, SpliceKind};
use crate::units::Percent;

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
    let figures = loss_figures(cells, &JOINT_COLUMNS, Floor::NONE);
    let dirt = dirt(cells);
    let value = ConnectorGrade { kind, figures: figures?, dirt };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}

/// How often a connector of a grade is dirty and what it then loses more: both figures or none.
fn dirt(cells: &mut Cells<'_>) -> Option<Dirt> {
    let share = cells.number("dirty_percent", &PERCENT);
    let loss = cells.loss("dirty_db");
    let stated = ["dirty_percent", "dirty_db"].map(|column| !cells.text(column).is_empty());
    if let [true, false] | [false, true] = stated {
        let (has, lacks) =
            if stated[0] { ("dirty_percent", "dirty_db") } else { ("dirty_db", "dirty_percent") };
        cells.bad(has, format!("`{has}` is stated without `{lacks}`: dirt is a share and a loss"), "");
    }
    let (share, loss) = (share?, loss?);
    match Dirt::of(Percent::new(share), loss) {
        Ok(dirt) => Some(dirt),
        Err(error) => {
            cells.bad("dirty_db", error, "");
            None
        }
    }
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
    let figures = loss_figures(cells, &JOINT_COLUMNS, Floor::NONE);
    let per = |word: &str| [("splice", false), ("km", true)].into_iter().find(|known| known.0 == word);
    let per_kilometer = cells.word("per", per, &["splice", "km"]).is_some_and(|word| word.1);
    let reflectance = cells.reflectance("reflectance_db");
    let value = SpliceKind { figures: figures?, per_kilometer, reflectance };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}
