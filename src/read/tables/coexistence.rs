//! `coexistence`.

use super::cells::Cells;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::Coexistence;

pub(super) static COEXISTENCE: Layout<Coexistence> = Layout {
    name: "coexistence",
    built_in: include_str!("../../../reference-tables/coexistence.csv"),
    required: &["system_a", "system_b", "possible"],
    slot: |tables| &mut tables.coexistences,
    row: coexistence,
    clashes: no_clashes,
};

fn coexistence(cells: &mut Cells<'_>) -> Option<Entry<Coexistence>> {
    let [a, b] = ["system_a", "system_b"].map(|column| cells.name(column));
    let possible = cells.yes_or_no("possible");
    let possible = cells.need("possible", possible);
    let value = Coexistence {
        element: cells.text("element").to_string(),
        why: cells.text("why").to_string(),
        // Last, so that every other cell has been looked at.
        systems: [a?, b?],
        possible: possible?,
    };
    let [a, b] = &value.systems;
    let (key, turned) = (Coexistence::key(a, b), Coexistence::key(b, a));
    // A row of one's own may name the two the other way round.
    let known = cells.tables.coexistences.get(&turned).map(|row| row.key.clone());
    Some(Entry { key: known.unwrap_or(key), aliases: vec![], value })
}
