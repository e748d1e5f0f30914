//! `interface-aliases`.

use super::cells::Cells;
use super::interface::INTERFACE;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::InterfaceAlias;

pub(super) static INTERFACE_ALIASES: Layout<InterfaceAlias> = Layout {
    name: "interface-aliases",
    built_in: include_str!("../../../reference-tables/interface-aliases.csv"),
    required: &["alias", "interface"],
    slot: |tables| &mut tables.interface_aliases,
    row: alias,
    clashes: no_clashes,
};

/// Stands in `interface` where a spelling is not clear; `candidates` says what it may mean.
const UNCLEAR: &str = "?";

fn alias(cells: &mut Cells<'_>) -> Option<Entry<InterfaceAlias>> {
    let key = cells.name("alias");
    let written = cells.name("interface")?;
    let candidates = cells.list("candidates");
    let unclear = written == UNCLEAR;
    if unclear && candidates.len() < 2 {
        let message = "`?` needs two or more interface types in `candidates`".to_string();
        cells.bad("candidates", message, "");
    } else if !unclear && !candidates.is_empty() {
        let message = "`candidates` is for spellings with `?` in `interface`".to_string();
        cells.bad("candidates", message, "");
    }
    let (column, items) =
        if unclear { ("candidates", candidates) } else { ("interface", vec![written]) };
    let mut interfaces = Vec::with_capacity(items.len());
    for item in &items {
        interfaces.push(cells.row_named(column, item, |tables| &tables.interfaces, INTERFACE));
    }
    let interfaces = interfaces.into_iter().collect::<Option<Vec<String>>>();
    Some(Entry { key: key?, aliases: vec![], value: InterfaceAlias { interfaces: interfaces? } })
}
