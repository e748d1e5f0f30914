//! Rows spread over small buckets by a hash, so that each bucket fits the cache. A large inventory is
//! spread in a few rounds, each over a part of the hashes, to bound the memory.

use rayon::prelude::*;

use crate::inventory::{Row, Segments};

/// Entries up to which one round takes all; beyond it there are [`MANY`].
const FEW: usize = 4_000_000;
/// Rounds of a large inventory.
const MANY: usize = 3;
/// Entries that a bucket should hold: its table then fits the cache of a core.
const BUCKET: usize = 16_384;
/// Buckets of a round at most: more than that, and their ends no longer fit the cache.
const MOST_BUCKETS: usize = 512;
/// Blocks of rows that are spread side by side.
const BLOCKS: usize = 32;

/// What a round takes.
#[derive(Debug, Clone, Copy)]
pub(super) enum Rounds {
    /// All keys, with a part of the hashes.
    ByHash,
    /// The keys that are made for this round, of so many.
    ByKey(usize),
}

/// Gives every row's keys to buckets and works on each bucket. Results come in a fixed order, whatever
/// the number of threads; `work` is told the round.
///
/// `keys` is told the round (0 where rounds part the hashes) and gives up to `N` entries of a row, each
/// with the hash that it is spread by. Entries with equal hashes come into one bucket, in the order of
/// their rows.
pub(super) fn over<const N: usize, const W: usize, T: Send>(
    rows: &Segments,
    rounds: Rounds,
    keys: impl Fn(usize, u32, &Row) -> [Option<(u32, [u32; W])>; N] + Sync,
    work: impl Fn(usize, &[[u32; W]]) -> Vec<T> + Sync,
) -> Vec<T> {
    let most = rows.len() * N;
    let spread = Spread::new(rows, rounds, most);
    let counts = spread.counts(&keys);
    let mut store: Vec<[u32; W]> = Vec::new();
    let mut found = Vec::new();
    for round in 0..spread.rounds {
        let slots = round * spread.buckets..(round + 1) * spread.buckets;
        let total: usize = counts.iter().flat_map(|c| &c[slots.clone()]).map(|c| *c as usize).sum();
        if store.len() < total {
            drop(std::mem::take(&mut store));
            // Made on all cores, since untouched memory is slow to touch.
            store = (0..total).into_par_iter().map(|_| [0; W]).collect();
        }
        let starts = spread.fill(round, &keys, &counts, &mut store[..total]);
        let parts: Vec<Vec<T>> =
            starts.par_windows(2).map(|ends| work(round, &store[ends[0]..ends[1]])).collect();
        found.extend(parts.into_iter().flatten());
    }
    found
}

/// How rows are spread: a slot is a bucket of a round.
struct Spread<'r> {
    pieces: Vec<(u32, &'r [Row])>,
    buckets: usize,
    rounds: usize,
    by_key: bool,
}

impl<'r> Spread<'r> {
    fn new(rows: &'r Segments, rounds: Rounds, most: usize) -> Self {
        let (by_key, rounds) = match rounds {
            Rounds::ByKey(rounds) => (true, rounds),
            Rounds::ByHash => (false, if most <= FEW { 1 } else { MANY }),
        };
        let in_round = if by_key { most } else { most / rounds };
        let buckets = (in_round / BUCKET).next_power_of_two().clamp(16, MOST_BUCKETS);
        Self { pieces: rows.pieces().collect(), buckets, rounds, by_key }
    }

    fn blocks(&self) -> impl IndexedParallelIterator<Item = &[(u32, &'r [Row])]> {
        self.pieces.par_chunks(self.pieces.len().div_ceil(BLOCKS).max(1))
    }

    /// For each block, the entries that it has for each slot.
    fn counts<const N: usize, const W: usize>(
        &self,
        keys: &(impl Fn(usize, u32, &Row) -> [Option<(u32, [u32; W])>; N] + Sync),
    ) -> Vec<Vec<u32>> {
        let buckets = self.buckets as u64;
        let count = |block: &[(u32, &[Row])]| {
            let mut counts = vec![0_u32; self.buckets * self.rounds];
            for (first, rows) in block {
                for (index, row) in (*first..).zip(*rows) {
                    if self.by_key {
                        for (round, counts) in counts.chunks_exact_mut(self.buckets).enumerate() {
                            for (hash, _) in keys(round, index, row).into_iter().flatten() {
                                counts[((u64::from(hash) * buckets) >> 32) as usize] += 1;
                            }
                        }
                    } else {
                        let slots = counts.len() as u64;
                        for (hash, _) in keys(0, index, row).into_iter().flatten() {
                            counts[((u64::from(hash) * slots) >> 32) as usize] += 1;
                        }
                    }
                }
            }
            counts
        };
        self.blocks().map(count).collect()
    }

    /// Puts the entries of a round in their places, and tells where buckets begin and the last one ends.
    fn fill<const N: usize, const W: usize>(
        &self,
        round: usize,
        keys: &(impl Fn(usize, u32, &Row) -> [Option<(u32, [u32; W])>; N] + Sync),
        counts: &[Vec<u32>],
        store: &mut [[u32; W]],
    ) -> Vec<usize> {
        let mut starts = vec![0];
        // The places of each block in each bucket: no two blocks write to one place.
        let mut places: Vec<Vec<std::slice::IterMut<'_, [u32; W]>>> =
            counts.iter().map(|_| Vec::with_capacity(self.buckets)).collect();
        let (mut rest, mut filled) = (store, 0);
        for slot in round * self.buckets..(round + 1) * self.buckets {
            for (block, counts) in counts.iter().enumerate() {
                let (own, others) = rest.split_at_mut(counts[slot] as usize);
                filled += own.len();
                places[block].push(own.iter_mut());
                rest = others;
            }
            starts.push(filled);
        }
        let slots = if self.by_key { self.buckets } else { self.buckets * self.rounds } as u64;
        let (first, key) = if self.by_key { (0, round) } else { (round * self.buckets, 0) };
        self.blocks().zip(places).for_each(|(block, mut places)| {
            for (index, row) in block.iter().flat_map(|(first, rows)| (*first..).zip(*rows)) {
                for (hash, entry) in keys(key, index, row).into_iter().flatten() {
                    let slot = ((u64::from(hash) * slots) >> 32) as usize;
                    // Slots of other rounds lie outside, on either side.
                    let bucket = slot.wrapping_sub(first);
                    if let Some(place) = places.get_mut(bucket).and_then(Iterator::next) {
                        *place = entry;
                    }
                }
            }
        });
        starts
    }
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
    use crate::inventory::name::hash;

    fn rows(count: u64, names: u64) -> Segments {
        let all: Vec<Row> =
            (0..count).map(|n| Row { near: hash(&(n % names).to_le_bytes()), ..Row::EMPTY }).collect();
        let mut rows = Segments::default();
        rows.extend(&all);
        rows
    }

    fn pairs(rows: &Segments) -> Vec<(u32, u32)> {
        let keys = |_: usize, index: u32, row: &Row| {
            [Some(((row.near >> 32) as u32, [row.near as u32, (row.near >> 32) as u32, index]))]
        };
        over(rows, Rounds::ByHash, keys, |_, bucket: &[[u32; 3]]| {
            let mut found = Vec::new();
            for (n, a) in bucket.iter().enumerate() {
                let same = bucket[n + 1..].iter().filter(|b| b[..2] == a[..2]);
                found.extend(same.map(|b| (a[2], b[2])));
            }
            found
        })
    }

    #[test]
    fn equal_keys_meet_in_one_bucket() {
        let pairs = pairs(&rows(1_000, 500));
        assert_eq!(pairs.len(), 500);
        assert!(pairs.iter().all(|(a, b)| a + 500 == *b));
    }

    #[test]
    fn what_is_spread_in_rounds_is_whole() {
        let count = FEW as u64 + 5;
        let rows = rows(count, count);
        for rounds in [Rounds::ByHash, Rounds::ByKey(2)] {
            let keys = |round: usize, index: u32, row: &Row| {
                [Some(((row.near >> 32) as u32 ^ round as u32, [index]))]
            };
            let mut all = over(&rows, rounds, keys, |round, bucket: &[[u32; 1]]| {
                let of_round = matches!(rounds, Rounds::ByKey(_)) && round == 1;
                bucket.iter().map(|[index]| (of_round, *index)).collect()
            });
            all.sort_unstable();
            let expected = (0..count as u32).map(|index| (false, index));
            assert!(all.iter().copied().take(count as usize).eq(expected));
            let again = if matches!(rounds, Rounds::ByKey(_)) { count as usize } else { 0 };
            assert_eq!(all.len(), count as usize + again);
        }
    }

    #[test]
    fn the_order_does_not_depend_on_the_threads() {
        let rows = rows(50_000, 20_000);
        let with = |threads| {
            let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("a pool");
            pool.install(|| pairs(&rows))
        };
        assert_eq!(with(1), with(3));
    }
}
