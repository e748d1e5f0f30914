//! Columns that are there and say nothing: a rule that needs their numbers has not been run by that.

use rayon::prelude::*;

use crate::inventory::{Column, ColumnSet, Inventory, Row, flag};

/// Whether a row says something in a column.
type Says = fn(&Row) -> bool;

/// The columns of numbers that no row of the inventory says anything in.
pub(super) fn silent(inventory: &Inventory) -> ColumnSet {
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    let looks: [(Column, Says); 7] = [
        (Column::Tx, |row| row.tx != Row::NONE || row.has(flag::DARK_TX)),
        (Column::Rx, |row| row.rx != Row::NONE || row.has(flag::DARK_RX | flag::ZERO_RX)),
        (Column::PathLoss, |row| row.loss != Row::NONE),
        (Column::PathLength, |row| row.path != Row::NO_ID),
        (Column::Temperature, |row| row.temperature != Row::NONE),
        (Column::Bias, |row| row.bias != 0),
        (Column::Onus, |row| row.onus != Row::NO_COUNT),
    ];
    let mut silent = ColumnSet::default();
    for (column, says) in looks.into_iter().filter(|(column, _)| inventory.columns.has(*column)) {
        // Most columns say something in their first rows.
        if !pieces.par_iter().any(|(_, rows)| rows.iter().any(says)) {
            silent.insert(column);
        }
    }
    silent
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_column_speaks_with_one_cell() {
        let mut inventory = Inventory::default();
        for column in [Column::Tx, Column::Rx, Column::Bias] {
            inventory.columns.insert(column);
        }
        let dark = Row { flags: flag::DARK_RX, ..Row::EMPTY };
        inventory.rows.extend(&[Row::EMPTY, dark, Row { tx: -210, ..Row::EMPTY }]);
        let silent = silent(&inventory);
        let found = [Column::Tx, Column::Rx, Column::Bias, Column::Onus].map(|c| silent.has(c));
        assert_eq!(found, [false, false, true, false]);
    }
}
