//! Identifiers that stand in two rows which do not face each other.
//!
//! Most identifiers stand once. Two bits for each of a few slots per row tell, after one look at all
//! rows, which identifiers may stand twice; only those rows are gathered and sorted.

use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;

use crate::inventory::{Inventory, Row};

/// Which identifier is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Identifier {
    /// Serial number.
    Serial,
    /// Circuit.
    Circuit,
    /// Frame position.
    Frame,
    /// Strand.
    Strand,
    /// Jumper.
    Jumper,
    /// Diversity group together with the card.
    Group,
}

impl Identifier {
    /// Those that stand in the rows, looked at in lots to bound the memory.
    const LOTS: [&'static [Self]; 3] =
        [&[Self::Serial, Self::Frame], &[Self::Jumper, Self::Circuit], &[Self::Strand]];

    fn of(self, row: &Row) -> u32 {
        match self {
            Self::Serial => row.serial,
            Self::Circuit => row.circuit,
            Self::Frame => row.frame,
            Self::Strand => row.strand,
            Self::Jumper => row.jumper,
            Self::Group => 0,
        }
    }

    /// Two ends of one pair share it rightly.
    fn is_shared_by_pairs(self) -> bool {
        matches!(self, Self::Circuit | Self::Strand | Self::Jumper)
    }
}

/// Slots for each row.
const SLOTS: usize = 6;

/// For each slot whether something fell into it once, and twice.
struct Twice {
    first: Vec<AtomicU64>,
    again: Vec<AtomicU64>,
    slots: u64,
}

impl Twice {
    fn for_rows(rows: usize) -> Self {
        let words = (rows * SLOTS / 64 + 1).max(64);
        let zeros = || (0..words).map(|_| AtomicU64::new(0)).collect();
        Self { first: zeros(), again: zeros(), slots: words as u64 * 64 }
    }

    fn place(&self, print: u32) -> (usize, u64) {
        let spread = u64::from(print.wrapping_mul(0x9E37_79B1));
        let slot = (spread * self.slots) >> 32;
        ((slot / 64) as usize, 1 << (slot % 64))
    }

    fn put(&self, print: u32) {
        let (word, bit) = self.place(print);
        if self.first[word].fetch_or(bit, Ordering::Relaxed) & bit != 0 {
            self.again[word].fetch_or(bit, Ordering::Relaxed);
        }
    }

    fn may_be_twice(&self, print: u32) -> bool {
        let (word, bit) = self.place(print);
        self.again[word].load(Ordering::Relaxed) & bit != 0
    }
}

/// Rows that share an identifier: the first one, another one, and which.
///
/// `represented`: rows whose pair shares circuit, strand and jumper with them and stands for both (bits
/// as [`bit`] gives them). Fingerprints are 32 bits: whoever must be sure compares the texts.
pub fn shared(inventory: &Inventory, target: &[u32], represented: &[u8]) -> Vec<(Identifier, u32, u32)> {
    let mut found = Vec::new();
    for lot in Identifier::LOTS {
        let candidates = candidates(inventory, lot, represented);
        pairs_of(inventory, target, &candidates, &mut found);
    }
    groups(inventory, &mut found);
    found.sort_unstable();
    found
}

/// The mark of a row whose far end stands for it in an identifier.
pub fn bit(identifier: Identifier) -> u8 {
    match identifier {
        Identifier::Circuit => 1,
        Identifier::Strand => 2,
        Identifier::Jumper => 4,
        _ => 0,
    }
}

/// Rows whose identifiers may stand twice, sorted by identifier, fingerprint, row.
fn candidates(
    inventory: &Inventory,
    lot: &[Identifier],
    represented: &[u8],
) -> Vec<(Identifier, u32, u32)> {
    let filters: Vec<Twice> = lot.iter().map(|_| Twice::for_rows(inventory.rows.len())).collect();
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    let each = |(first, rows): &(u32, &[Row]), act: &mut dyn FnMut(usize, u32, u32)| {
        for (n, row) in rows.iter().enumerate() {
            let index = first + n as u32;
            let marks = represented.get(index as usize).copied().unwrap_or_default();
            for (which, identifier) in lot.iter().enumerate() {
                let print = identifier.of(row);
                if print != 0 && marks & bit(*identifier) == 0 {
                    act(which, print, index);
                }
            }
        }
    };
    pieces.par_iter().for_each(|piece| each(piece, &mut |which, print, _| filters[which].put(print)));
    let gather = |piece: &(u32, &[Row])| {
        let mut found = Vec::new();
        each(piece, &mut |which, print, row| {
            if filters[which].may_be_twice(print) {
                found.push((lot[which], print, row));
            }
        });
        found
    };
    let parts: Vec<Vec<(Identifier, u32, u32)>> = pieces.par_iter().map(gather).collect();
    let mut all = Vec::with_capacity(parts.iter().map(Vec::len).sum());
    all.extend(parts.into_iter().flatten());
    all.par_sort_unstable();
    all
}

fn pairs_of(
    inventory: &Inventory,
    target: &[u32],
    candidates: &[(Identifier, u32, u32)],
    found: &mut Vec<(Identifier, u32, u32)>,
) {
    let same = |a: &(Identifier, u32, u32), b: &(Identifier, u32, u32)| (a.0, a.1) == (b.0, b.1);
    for part in candidates.chunk_by(same).filter(|part| part.len() > 1) {
        let (identifier, _, first) = part[0];
        for (_, _, other) in &part[1..] {
            let faces = target[first as usize] == *other || target[*other as usize] == first;
            // The same port in two rows is said by another rule.
            let (a, b) = (inventory.rows.get(first), inventory.rows.get(*other));
            let one_port = a.near != 0 && a.near == b.near;
            let rightly = identifier.is_shared_by_pairs() && faces;
            if !one_port && !rightly {
                found.push((identifier, first, *other));
            }
        }
    }
}

/// Rows of one diversity group on one card.
fn groups(inventory: &Inventory, found: &mut Vec<(Identifier, u32, u32)>) {
    let card = |row: u32| inventory.rows.get(row).card;
    let mut all: Vec<(u32, u32, u32)> =
        inventory.groups.iter().map(|(row, group)| (*group, card(*row), *row)).collect();
    all.sort_unstable();
    for part in all.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)) {
        let near = |row: u32| inventory.rows.get(row).near;
        let others = part[1..].iter().filter(|other| near(other.2) != near(part[0].2));
        found.extend(others.map(|other| (Identifier::Group, part[0].2, other.2)));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_twice_is_found_and_pairs_may_share() {
        let mut inventory = Inventory::default();
        let row = |near: u64, serial: u32, circuit: u32| Row { near, serial, circuit, ..Row::EMPTY };
        let mut rows: Vec<Row> = (0..2_000).map(|n| row(n + 100, n as u32 + 50_000, 0)).collect();
        rows.extend([row(1, 7, 9), row(2, 8, 9), row(3, 7, 9)]);
        inventory.rows.extend(&rows);
        let mut target = vec![Row::NO_ID; rows.len()];
        (target[2_000], target[2_001]) = (2_001, 2_000);
        let found = shared(&inventory, &target, &[]);
        assert_eq!(found, [(Identifier::Serial, 2_000, 2_002), (Identifier::Circuit, 2_000, 2_002)]);
        // The second row of the pair is represented by the first.
        let mut represented = vec![0; rows.len()];
        represented[2_001] = bit(Identifier::Circuit);
        assert_eq!(shared(&inventory, &target, &represented), found);
    }
}
