//! Identifiers that stand in two rows which do not face each other.
//!
//! Most identifiers stand once. Within a bucket of fingerprints, a bit for each of a few places tells
//! which ones may stand twice; only those are sorted.

use super::spread::{Rounds, over};
use crate::inventory::{Column, Inventory, Row, flag};

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
    /// Those that stand in the rows as fingerprints.
    const IN_ROWS: [Self; 5] = [Self::Serial, Self::Circuit, Self::Frame, Self::Strand, Self::Jumper];

    /// The column in which it stands.
    pub fn column(self) -> Column {
        match self {
            Self::Serial => Column::Serial,
            Self::Circuit => Column::Circuit,
            Self::Frame => Column::FramePort,
            Self::Strand => Column::Strand,
            Self::Jumper => Column::Jumper,
            Self::Group => Column::DiversityGroup,
        }
    }

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

    /// Ports with unlike channels share it rightly: that is what a mux is for.
    fn is_of_fibers(self) -> bool {
        matches!(self, Self::Frame | Self::Strand | Self::Jumper)
    }

    /// Two ends of one pair share it rightly.
    fn is_shared_by_pairs(self) -> bool {
        matches!(self, Self::Circuit | Self::Strand | Self::Jumper)
    }
}

/// Rows with one fingerprint of an identifier, in their order.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Alike {
    /// Which identifier.
    pub identifier: Identifier,
    /// The rows: two or more.
    pub rows: Vec<u32>,
}

/// Rows whose identifiers have one fingerprint.
///
/// `represented`: rows whose pair shares circuit, strand and jumper with them and stands for both (bits
/// as [`bit`] gives them). Fingerprints are 32 bits: whoever must be sure compares the texts.
pub fn alike(inventory: &Inventory, represented: &[u8]) -> Vec<Alike> {
    let keys = |which: usize, index: u32, row: &Row| {
        let identifier = Identifier::IN_ROWS[which];
        let print = identifier.of(row);
        let marks = represented.get(index as usize).copied().unwrap_or_default();
        let counts = print != 0 && !row.has(flag::MISPLACED) && marks & bit(identifier) == 0;
        [counts.then_some((print, [print, index]))]
    };
    let work = |which: usize, bucket: &[[u32; 2]]| {
        let identifier = Identifier::IN_ROWS[which];
        twice(bucket).into_iter().map(|rows| Alike { identifier, rows }).collect()
    };
    let rounds = Rounds::ByKey(Identifier::IN_ROWS.len());
    let mut found = over(&inventory.rows, rounds, keys, work);
    groups(inventory, &mut found);
    found
}

/// Rows of a bucket whose fingerprints stand in it more than once.
fn twice(bucket: &[[u32; 2]]) -> Vec<Vec<u32>> {
    let words = (bucket.len() / 8).next_power_of_two();
    let (mut once, mut again) = (vec![0_u64; words], vec![0_u64; words]);
    // The upper bits of a fingerprint chose the bucket.
    let place = |print: u32| ((print >> 6) as usize & (words - 1), 1 << (print & 63));
    for [print, _] in bucket {
        let (word, bit) = place(*print);
        again[word] |= once[word] & bit;
        once[word] |= bit;
    }
    let may_stand_twice = |entry: &&[u32; 2]| {
        let (word, bit) = place(entry[0]);
        again[word] & bit != 0
    };
    let mut some: Vec<[u32; 2]> = bucket.iter().filter(may_stand_twice).copied().collect();
    some.sort_unstable();
    let alike = some.chunk_by(|a, b| a[0] == b[0]).filter(|part| part.len() > 1);
    alike.map(|part| part.iter().map(|entry| entry[1]).collect()).collect()
}

/// The rows of a group that stand for what the first of them has, too: all but those that are the same
/// port in another row, or share the identifier rightly as the two ends of one pair.
pub fn others<'a>(
    inventory: &'a Inventory,
    target: &'a [u32],
    identifier: Identifier,
    rows: &'a [u32],
) -> impl Iterator<Item = u32> + 'a {
    let first = rows.first().copied().unwrap_or(Row::NO_ID);
    rows.iter().skip(1).copied().filter(move |other| {
        let faces = target[first as usize] == *other || target[*other as usize] == first;
        // The same port in two rows is said by another rule.
        let (a, b) = (inventory.rows.get(first), inventory.rows.get(*other));
        let one_port = a.near != 0 && a.near == b.near;
        let muxed = identifier.is_of_fibers() && unlike_channels(inventory, a, b);
        !(one_port || muxed || identifier.is_shared_by_pairs() && faces)
    })
}

/// Whether two rows state unlike channels or wavelengths.
fn unlike_channels(inventory: &Inventory, a: &Row, b: &Row) -> bool {
    let (a, b) = (inventory.profile(a), inventory.profile(b));
    let (one, other) = (a.word(Column::Channel), b.word(Column::Channel));
    let channels = !one.is_empty() && !other.is_empty() && one != other;
    channels || matches!((a.tx_nm, b.tx_nm), (Some(one), Some(other)) if one != other)
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

/// Rows of one diversity group on one card.
fn groups(inventory: &Inventory, found: &mut Vec<Alike>) {
    let card = |row: u32| inventory.rows.get(row).card;
    let sound = |(row, _): &&(u32, u32)| !inventory.rows.get(*row).has(flag::MISPLACED);
    let sound = inventory.groups.iter().filter(sound);
    let mut all: Vec<(u32, u32, u32)> = sound.map(|(row, group)| (*group, card(*row), *row)).collect();
    all.sort_unstable();
    let alike = all.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)).filter(|part| part.len() > 1);
    found.extend(alike.map(|part| Alike {
        identifier: Identifier::Group,
        rows: part.iter().map(|(_, _, row)| *row).collect(),
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What is said of two thousand sound rows and some more: identifier, first row, other row.
    fn said(more: &[Row], pairs: &[(u32, u32)], represented: &[u32]) -> Vec<(Identifier, u32, u32)> {
        let sound = (0..2_000).map(|n| Row { near: n + 100, serial: n as u32 + 50_000, ..Row::EMPTY });
        let rows: Vec<Row> = sound.chain(more.iter().copied()).collect();
        let mut inventory = Inventory::default();
        inventory.rows.extend(&rows);
        let mut target = vec![Row::NO_ID; rows.len()];
        for (a, b) in pairs {
            (target[2_000 + *a as usize], target[2_000 + *b as usize]) = (2_000 + b, 2_000 + a);
        }
        let mut marks = vec![0; rows.len()];
        represented.iter().for_each(|row| marks[2_000 + *row as usize] = bit(Identifier::Circuit));
        let groups = alike(&inventory, &marks);
        let hits = groups.iter().flat_map(|group| {
            let first = group.rows[0];
            let others = others(&inventory, &target, group.identifier, &group.rows);
            others.map(move |other| (group.identifier, first - 2_000, other - 2_000)).collect::<Vec<_>>()
        });
        hits.collect()
    }

    fn row(near: u64, serial: u32, circuit: u32) -> Row {
        Row { near, serial, circuit, ..Row::EMPTY }
    }

    #[test]
    fn what_stands_twice_is_found_and_pairs_may_share() {
        let rows = [row(1, 7, 9), row(2, 8, 9), row(3, 7, 9)];
        let found = [(Identifier::Serial, 0, 2), (Identifier::Circuit, 0, 2)];
        assert_eq!(said(&rows, &[(0, 1)], &[]), found);
    }

    #[test]
    fn a_pair_is_said_once_when_one_end_stands_for_both() {
        let rows = [row(1, 0, 9), row(2, 0, 9), row(3, 0, 9), row(4, 0, 9)];
        let pairs = [(0, 1), (2, 3)];
        assert_eq!(said(&rows, &pairs, &[]).len(), 2);
        assert_eq!(said(&rows, &pairs, &[1, 3]), [(Identifier::Circuit, 0, 2)]);
    }

    #[test]
    fn a_row_whose_cells_are_misplaced_has_no_identifiers() {
        let shifted = Row { flags: flag::SHIFTED, ..row(2, 7, 0) };
        assert_eq!(said(&[row(1, 7, 0), shifted], &[], &[]), []);
    }
}
