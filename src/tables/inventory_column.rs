//! Columns of port inventories.

/// What a column of a port inventory means. The row's key is the column's name; its aliases are the
/// heads under which people write it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InventoryColumn {
    /// Unit of a number without one; `text`, `word`, `date` or `count` for other cells.
    pub unit: String,
    /// A few words.
    pub meaning: String,
}
