//! Rows spread over small buckets by a hash, so that each bucket fits the cache. A large inventory is
//! spread in several rounds, each over a part of the hashes, to bound the memory.

use rayon::prelude::*;

use crate::inventory::{Row, Segments};

/// Rows that one round takes.
const ROUND: usize = 1_000_000;
/// Buckets of a round.
const BUCKETS: u64 = 256;

/// Set in the row of a key of the second kind.
const SECOND: u32 = 1 << 31;

/// One row under a key, in 12 bytes: both halves of the key, and the row with the kind of the key.
#[derive(Debug, Clone, Copy)]
pub(super) struct Entry {
    low: u32,
    high: u32,
    row_and_kind: u32,
}

impl Entry {
    /// The row.
    pub(super) fn row(self) -> u32 {
        self.row_and_kind & !SECOND
    }

    /// Whether the key is of the second kind.
    pub(super) fn is_second(self) -> bool {
        self.row_and_kind & SECOND != 0
    }

    /// Whether two entries have the same key.
    pub(super) fn is_same(self, other: Self) -> bool {
        (self.low, self.high) == (other.low, other.high)
    }

    /// The half of the key that an [`Index`] spreads by; the other half chose the bucket.
    pub(super) fn low(self) -> u32 {
        self.low
    }
}

/// Number of rounds for so many rows.
fn rounds(rows: usize) -> u64 {
    (rows / ROUND + 1) as u64
}

/// Gives every row's keys to buckets and works on each bucket. Results come in a fixed order.
///
/// Keys that are equal come into one bucket, in the order of their rows. A key is put with whether it is
/// of the second kind; rows are numbered below 2^31.
pub(super) fn over<T: Send>(
    rows: &Segments,
    keys: impl Fn(&Row, &mut dyn FnMut(bool, u64)) + Sync,
    work: impl Fn(&[Entry]) -> Vec<T> + Sync,
) -> Vec<T> {
    let rounds = rounds(rows.len());
    let slots = rounds * BUCKETS;
    let one = |round: u64| {
        let mut buckets: Vec<Vec<Entry>> = (0..BUCKETS).map(|_| Vec::new()).collect();
        for (index, row) in rows.iter() {
            keys(row, &mut |second, key| {
                let slot = ((key >> 32) * slots) >> 32;
                if slot / BUCKETS == round {
                    let row_and_kind = index | if second { SECOND } else { 0 };
                    let entry = Entry { low: key as u32, high: (key >> 32) as u32, row_and_kind };
                    buckets[(slot % BUCKETS) as usize].push(entry);
                }
            });
        }
        let parts: Vec<Vec<T>> = buckets.par_iter().map(|bucket| work(bucket)).collect();
        parts.into_iter().flatten().collect::<Vec<T>>()
    };
    let parts: Vec<Vec<T>> = (0..rounds).into_par_iter().map(one).collect();
    parts.into_iter().flatten().collect()
}

/// A small table of entries by key: open addressing over indices.
pub(super) struct Index {
    slots: Vec<u32>,
    mask: usize,
}

impl Index {
    /// Room for so many entries.
    pub(super) fn with_room(entries: usize) -> Self {
        let size = (entries * 2).next_power_of_two().max(8);
        Self { slots: vec![u32::MAX; size], mask: size - 1 }
    }

    fn start(&self, low: u32) -> usize {
        (low.wrapping_mul(0x9E37_79B1) >> 7) as usize & self.mask
    }

    /// The first index whose entry `same` accepts.
    pub(super) fn find(&self, low: u32, same: impl Fn(u32) -> bool) -> Option<u32> {
        let mut at = self.start(low);
        loop {
            match self.slots[at] {
                u32::MAX => return None,
                index if same(index) => return Some(index),
                _ => at = (at + 1) & self.mask,
            }
        }
    }

    /// Adds an index.
    pub(super) fn add(&mut self, low: u32, index: u32) {
        let mut at = self.start(low);
        while self.slots[at] != u32::MAX {
            at = (at + 1) & self.mask;
        }
        self.slots[at] = index;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_keys_meet_in_one_bucket() {
        let mut rows = Segments::default();
        let all: Vec<Row> = (0..1000u64)
            .map(|n| Row { near: crate::inventory::name::hash(&(n % 500).to_le_bytes()), ..Row::EMPTY })
            .collect();
        rows.extend(&all);
        let pairs = over(
            &rows,
            |row, put| put(false, row.near),
            |bucket| {
                let mut found = Vec::new();
                for (n, a) in bucket.iter().enumerate() {
                    found.extend(
                        bucket[n + 1..].iter().filter(|b| b.is_same(*a)).map(|b| (a.row(), b.row())),
                    );
                }
                found
            },
        );
        assert_eq!(pairs.len(), 500);
        assert!(pairs.iter().all(|(a, b)| a + 500 == *b));
    }
}
