//! Which rows of tables the light of a plan met.

use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};

use super::{RowRef, TableName};
use crate::tables::{RowId, Tables};

/// A set of rows that grows while sums are made, on several threads at once: a bit for each row.
///
/// A row is only ever added, so that the set does not depend on the order. A million paths meet the
/// same few rows: they are looked at, and written to the first time alone.
#[derive(Debug, Clone)]
pub struct RowsMet {
    /// Where the bits of each table begin.
    starts: [u32; TableName::ALL.len() + 1],
    bits: Arc<[AtomicU64]>,
}

impl RowsMet {
    /// No row of these tables.
    pub(super) fn new(tables: &Tables) -> Self {
        let mut starts = [0; TableName::ALL.len() + 1];
        for (index, table) in TableName::ALL.into_iter().enumerate() {
            starts[index + 1] = starts[index] + rows(tables, table) as u32;
        }
        let words = starts[TableName::ALL.len()].div_ceil(u64::BITS);
        Self { starts, bits: (0..words).map(|_| AtomicU64::new(0)).collect() }
    }

    /// Takes note of a row.
    pub(super) fn add(&self, row: RowRef) {
        let bit = self.starts[row.table as usize] + row.row.0;
        let Some(word) = self.bits.get((bit / u64::BITS) as usize) else { return };
        let mask = 1 << (bit % u64::BITS);
        if word.load(Ordering::Relaxed) & mask == 0 {
            word.fetch_or(mask, Ordering::Relaxed);
        }
    }

    /// The rows, sorted by table.
    pub fn rows(&self) -> impl Iterator<Item = RowRef> + '_ {
        let met = |bit: u32| {
            let word = self.bits[(bit / u64::BITS) as usize].load(Ordering::Relaxed);
            word & (1 << (bit % u64::BITS)) != 0
        };
        TableName::ALL.into_iter().enumerate().flat_map(move |(index, table)| {
            let (start, end) = (self.starts[index], self.starts[index + 1]);
            let bits = (start..end).filter(move |bit| met(*bit));
            bits.map(move |bit| RowRef { table, row: RowId(bit - start) })
        })
    }
}

/// How many rows a table has.
fn rows(tables: &Tables, table: TableName) -> usize {
    match table {
        TableName::Attenuation => tables.attenuation.rows().len(),
        TableName::Transitions => tables.transitions.rows().len(),
        TableName::Dispersion => tables.dispersion_points.rows().len(),
        TableName::Connectors => tables.connectors.rows().len(),
        TableName::Splices => tables.splices.rows().len(),
        TableName::Splitters => tables.splitters.rows().len(),
        TableName::Taps => tables.taps.rows().len(),
        TableName::WdmElements => tables.wdm_elements.rows().len(),
        TableName::PonClasses => tables.pon_classes.rows().len(),
        TableName::Interfaces => tables.interfaces.rows().len(),
        TableName::Polishes => tables.polishes.rows().len(),
        TableName::Fibers => tables.fibers.rows().len(),
    }
}
