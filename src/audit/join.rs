//! Which row each row's far end is: a join of names, by their hashes.

use std::sync::atomic::{AtomicU32, Ordering};

use rayon::prelude::*;

use super::spread::{Index, Rounds, over};
use crate::inventory::{Row, Segments};

/// What the join found.
#[derive(Debug, Default)]
pub struct Joined {
    /// The row that each row's far end names; [`Row::NO_ID`] = none.
    pub target: Vec<u32>,
    /// Rows with the same name: the first of them, and another one.
    pub doubles: Vec<(u32, u32)>,
    /// Rows with the same far end, which is in the inventory: the first of them, and another one.
    pub claims: Vec<(u32, u32)>,
}

enum Found {
    Double(u32, u32),
    Claim(u32, u32),
}

/// Set in the row of an entry that stands for a far end.
const FAR: u32 = 1 << 31;

/// A name as an entry: both halves of its hash, and the row, which is below 2^31.
type Entry = [u32; 3];

/// Joins far ends with names.
pub fn join(rows: &Segments) -> Joined {
    let keys = |_: usize, index: u32, row: &Row| [entry(row.near, index), entry(row.far, index | FAR)];
    let target: Vec<AtomicU32> =
        (0..rows.len()).into_par_iter().map(|_| AtomicU32::new(Row::NO_ID)).collect();
    let found = over(rows, Rounds::ByHash, keys, |_, bucket: &[Entry]| bucket_join(bucket, &target));
    let target = target.into_iter().map(AtomicU32::into_inner).collect();
    let mut joined = Joined { target, ..Joined::default() };
    for one in found {
        match one {
            Found::Double(a, b) => joined.doubles.push((a, b)),
            Found::Claim(a, b) => joined.claims.push((a, b)),
        }
    }
    joined.doubles.sort_unstable();
    joined.claims.sort_unstable();
    prefer_agreeing(rows, &mut joined);
    joined
}

fn entry(key: u64, row: u32) -> Option<(u32, Entry)> {
    let (low, high) = (key as u32, (key >> 32) as u32);
    (key != 0).then_some((high, [low, high, row]))
}

fn bucket_join(bucket: &[Entry], target: &[AtomicU32]) -> Vec<Found> {
    let is_far = |entry: &Entry| entry[2] & FAR != 0;
    let same = |index: u32, entry: &Entry| bucket[index as usize][..2] == entry[..2];
    let mut found = Vec::new();
    let mut index = Index::with_room(bucket.len());
    let mut claimed: Vec<u32> = vec![Row::NO_ID; bucket.len()];
    for (n, entry) in bucket.iter().enumerate().filter(|(_, entry)| !is_far(entry)) {
        match index.find(entry[0], |i| same(i, entry)) {
            Some(first) => found.push(Found::Double(bucket[first as usize][2], entry[2])),
            None => index.add(entry[0], n as u32),
        }
    }
    for entry in bucket.iter().filter(|entry| is_far(entry)) {
        let Some(named) = index.find(entry[0], |i| same(i, entry)) else { continue };
        let row = entry[2] & !FAR;
        target[row as usize].store(bucket[named as usize][2], Ordering::Relaxed);
        match claimed[named as usize] {
            Row::NO_ID => claimed[named as usize] = row,
            first => found.push(Found::Claim(first, row)),
        }
    }
    found
}

/// Of several rows with one name, the one that names the asking row back is meant.
fn prefer_agreeing(rows: &Segments, joined: &mut Joined) {
    for (_, other) in joined.doubles.clone() {
        let asked = joined.target[other as usize];
        if asked == Row::NO_ID {
            continue;
        }
        let (other_row, asked_row) = (rows.get(other), rows.get(asked));
        let now = joined.target[asked as usize];
        let agrees = now != Row::NO_ID && rows.get(now).far == asked_row.near;
        if asked_row.far == other_row.near && !agrees {
            joined.target[asked as usize] = other;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(names: &[(u64, u64)]) -> Segments {
        // Spread over the whole range, as hashes are.
        let key = |n: u64| if n == 0 { 0 } else { crate::inventory::name::hash(&n.to_le_bytes()) };
        let all: Vec<Row> = names
            .iter()
            .map(|(near, far)| Row { near: key(*near), far: key(*far), ..Row::EMPTY })
            .collect();
        let mut rows = Segments::default();
        rows.extend(&all);
        rows
    }

    #[test]
    fn pairs_doubles_and_claims() {
        let joined = join(&rows(&[(1, 2), (2, 1), (3, 2), (4, 9), (5, 0), (1, 2)]));
        assert_eq!(joined.target, [1, 0, 1, Row::NO_ID, Row::NO_ID, 1]);
        assert_eq!(joined.doubles, [(0, 5)]);
        assert_eq!(joined.claims, [(0, 2), (0, 5)]);
    }

    /// Two hashes that share a bucket and one half are still two names.
    #[test]
    fn half_a_hash_is_no_name() {
        let near = 0x0000_0001_0000_0007;
        let all = [
            Row { near, ..Row::EMPTY },
            Row { near: 0x0000_0002_0000_0007, far: 0x0000_0003_0000_0007, ..Row::EMPTY },
            Row { far: near, ..Row::EMPTY },
        ];
        let mut rows = Segments::default();
        rows.extend(&all);
        let joined = join(&rows);
        assert_eq!(joined.target, [Row::NO_ID, Row::NO_ID, 0]);
        assert!(joined.doubles.is_empty() && joined.claims.is_empty());
    }

    #[test]
    fn of_two_rows_with_one_name_the_agreeing_one_is_meant() {
        let joined = join(&rows(&[(1, 9), (1, 2), (2, 1)]));
        assert_eq!(joined.target[2], 1);
    }
}
