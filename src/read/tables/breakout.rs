//! `breakouts`.

use super::cells::Cells;
use super::interface::INTERFACE;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::Breakout;

pub(super) static BREAKOUTS: Layout<Breakout> = Layout {
    name: "breakouts",
    built_in: include_str!("../../../reference-tables/breakouts.csv"),
    required: &["parent", "children", "child"],
    slot: |tables| &mut tables.breakouts,
    row: breakout,
    clashes: no_clashes,
};

fn breakout(cells: &mut Cells<'_>) -> Option<Entry<Breakout>> {
    let parent = cells.need_row("parent", |tables| &tables.interfaces, INTERFACE);
    let lanes = cells.count("children");
    let lanes = cells.need("children", lanes);
    let child = cells.need_row("child", |tables| &tables.interfaces, INTERFACE);
    let levels = Some(cells.text("levels")).filter(|name| !name.is_empty());
    let levels =
        levels.and_then(|name| cells.row_named("levels", name, |tables| &tables.interfaces, INTERFACE));
    let value = Breakout { parent: parent?, lanes: lanes?, child: child?, levels };
    Some(Entry { key: Breakout::key(&value.parent, &value.child), aliases: vec![], value })
}
