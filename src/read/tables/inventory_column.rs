//! `inventory-columns`.

use super::cells::Cells;
use super::layout::{Entry, Layout, no_clashes};
use crate::inventory::{COLUMNS, Column};
use crate::tables::InventoryColumn;

pub(super) static INVENTORY_COLUMNS: Layout<InventoryColumn> = Layout {
    name: "inventory-columns",
    built_in: include_str!("../../../reference-tables/inventory-columns.csv"),
    required: &["column"],
    slot: |tables| &mut tables.inventory_columns,
    row: column,
    clashes: no_clashes,
};

fn column(cells: &mut Cells<'_>) -> Option<Entry<InventoryColumn>> {
    let key = cells.name("column")?;
    if Column::named(&key).is_none() {
        let known = COLUMNS.iter().map(|column| column.name());
        let hint = crate::check::nearest(&key, known)
            .map_or_else(String::new, |near| format!("did you mean `{near}`?"));
        cells.bad("column", format!("`{key}` is no column of an inventory"), hint);
        return None;
    }
    let value = InventoryColumn {
        unit: cells.text("unit").to_string(),
        meaning: cells.text("meaning").to_string(),
    };
    Some(Entry { key, aliases: cells.list("aliases"), value })
}
