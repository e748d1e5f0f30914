//! All rows of an inventory, and what they share.

use rayon::prelude::*;

use super::column::ColumnSet;
use super::profile::Profile;
use super::row::Row;
use super::turn::Turns;

/// Rows of one piece of memory. Pieces do not move when the inventory grows.
const SEGMENT: usize = 1 << 14;

/// A list of rows that grows without moving what is there.
#[derive(Debug, Default)]
pub struct Segments {
    pieces: Vec<Vec<Row>>,
    length: usize,
}

impl Segments {
    /// Adds rows.
    pub fn extend(&mut self, rows: &[Row]) {
        self.extend_changed(&[rows], |_, row| *row);
    }

    /// Adds the rows of several parts, one after the other, on all cores; `change` is told the number
    /// of the part and gives the row that is kept.
    pub fn extend_changed(&mut self, parts: &[&[Row]], change: impl Fn(usize, &Row) -> Row + Sync) {
        let first = self.length;
        self.length += parts.iter().map(|part| part.len()).sum::<usize>();
        self.pieces.resize_with(self.length.div_ceil(SEGMENT), || Vec::with_capacity(SEGMENT));
        let from_piece = first / SEGMENT;
        self.pieces[from_piece..].par_iter_mut().enumerate().for_each(|(n, piece)| {
            let start = (from_piece + n) * SEGMENT + piece.len() - first;
            let end = start + SEGMENT - piece.len();
            let mut before = 0;
            for (number, part) in parts.iter().enumerate() {
                let of_part = |at: usize| at.clamp(before, before + part.len()) - before;
                let rows = &part[of_part(start)..of_part(end)];
                piece.extend(rows.iter().map(|row| change(number, row)));
                before += part.len();
            }
        });
    }

    /// Number of rows.
    pub fn len(&self) -> usize {
        self.length
    }

    /// Whether there is no row.
    pub fn is_empty(&self) -> bool {
        self.length == 0
    }

    /// A row.
    pub fn get(&self, index: u32) -> &Row {
        &self.pieces[index as usize / SEGMENT][index as usize % SEGMENT]
    }

    /// A row, to be changed.
    pub fn get_mut(&mut self, index: u32) -> &mut Row {
        &mut self.pieces[index as usize / SEGMENT][index as usize % SEGMENT]
    }

    /// The pieces, each with the index of its first row.
    pub fn pieces(&self) -> impl ExactSizeIterator<Item = (u32, &[Row])> {
        self.pieces.iter().enumerate().map(|(n, piece)| ((n * SEGMENT) as u32, piece.as_slice()))
    }

    /// All rows with their indices.
    pub fn iter(&self) -> impl Iterator<Item = (u32, &Row)> {
        self.pieces().flat_map(|(first, rows)| {
            rows.iter().enumerate().map(move |(n, row)| (first + n as u32, row))
        })
    }
}

/// A site.
#[derive(Debug, Clone)]
pub struct Site {
    /// Hash of the normal form.
    pub hash: u64,
    /// The first spelling.
    pub name: Box<str>,
    /// Every spelling, the first one included, in the order of appearance; cut after a few.
    pub spellings: Vec<Box<str>>,
    /// Whether a port stands there, not only a far end.
    pub covered: bool,
}

/// A card: what the ports of one slot share.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Card {
    /// Its site; [`Row::NO_ID`] = none.
    pub site: u32,
    /// Fingerprint of its shelf within the site; 0 = none is written.
    pub shelf: u32,
}

/// All cards, in a few lists that can grow side by side.
#[derive(Debug, Default)]
pub struct Cards {
    lists: [Vec<Card>; Self::LISTS],
}

impl Cards {
    /// Number of lists.
    pub const LISTS: usize = 8;

    /// The id of a card by its place in one of the lists.
    pub const fn id(list: usize, place: usize) -> u32 {
        (place * Self::LISTS + list) as u32
    }

    /// The list of a card and its place in it, by its id.
    pub const fn place(id: u32) -> (usize, usize) {
        (id as usize % Self::LISTS, id as usize / Self::LISTS)
    }

    /// A card.
    pub fn get(&self, id: u32) -> Option<&Card> {
        let (list, place) = Self::place(id);
        self.lists[list].get(place)
    }

    /// All ids are below it; not all of them stand for a card.
    pub fn bound(&self) -> usize {
        self.lists.iter().map(Vec::len).max().unwrap_or(0) * Self::LISTS
    }

    /// The lists, to be added to.
    pub fn lists_mut(&mut self) -> &mut [Vec<Card>; Self::LISTS] {
        &mut self.lists
    }
}

/// The names that a damaged port or far port may have had.
#[derive(Debug, Clone)]
pub struct Candidates {
    /// The row.
    pub row: u32,
    /// Whether it is the far port.
    pub far: bool,
    /// Hashes of site and port, as [`Row::near`].
    pub keys: Vec<u64>,
    /// The names in normal form, in the same order.
    pub names: Vec<String>,
}

/// An inventory as it was read.
#[derive(Debug, Default)]
pub struct Inventory {
    /// Every port.
    pub rows: Segments,
    /// The sets of words.
    pub profiles: Vec<Profile>,
    /// The sites.
    pub sites: Vec<Site>,
    /// The cards.
    pub cards: Cards,
    /// The columns that at least one file has.
    pub columns: ColumnSet,
    /// The first row of each file or sheet, and the columns that it has.
    pub parts: Vec<(u32, ColumnSet)>,
    /// Rows of a diversity group, with the fingerprint of the group.
    pub groups: Vec<(u32, u32)>,
    /// Damaged names that the far end may restore.
    pub damaged: Vec<Candidates>,
    /// Reinterpretations.
    pub turns: Turns,
    /// Lines left out: empty ones and totals.
    pub skipped: u64,
}

impl Inventory {
    /// The profile of a row.
    pub fn profile(&self, row: &Row) -> &Profile {
        &self.profiles[row.profile as usize]
    }

    /// The columns of the file in which a row stands.
    pub fn columns_of(&self, row: u32) -> ColumnSet {
        self.parts[..self.part_of(row)].last().map_or(self.columns, |(_, columns)| *columns)
    }

    /// The number of the file or sheet in which a row stands, from 1; 0 where that is not known.
    pub fn part_of(&self, row: u32) -> usize {
        self.parts.partition_point(|(first, _)| *first <= row)
    }

    /// The site of a row; `None` when none is written.
    pub fn site(&self, row: &Row) -> Option<&Site> {
        self.sites.get(self.cards.get(row.card)?.site as usize)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_stay_in_order_over_pieces() {
        let mut rows = Segments::default();
        let all: Vec<Row> = (0..SEGMENT as u32 + 10).map(|n| Row { offset: n, ..Row::EMPTY }).collect();
        rows.extend(&all[..5]);
        rows.extend(&all[5..]);
        assert_eq!(rows.len(), all.len());
        assert!(rows.iter().all(|(index, row)| index == row.offset));
        assert_eq!(rows.get(SEGMENT as u32).offset, SEGMENT as u32);
    }
}
