//! All rows of an inventory, and what they share.

use super::column::ColumnSet;
use super::profile::Profile;
use super::row::Row;
use super::turn::Turns;

/// Rows of one piece of memory. Pieces do not move when the inventory grows.
const SEGMENT: usize = 1 << 16;

/// A list of rows that grows without moving what is there.
#[derive(Debug, Default)]
pub struct Segments {
    pieces: Vec<Vec<Row>>,
    length: usize,
}

impl Segments {
    /// Adds rows.
    pub fn extend(&mut self, mut rows: &[Row]) {
        self.length += rows.len();
        while !rows.is_empty() {
            let full = self.pieces.last().is_none_or(|piece| piece.len() == SEGMENT);
            if full {
                self.pieces.push(Vec::with_capacity(SEGMENT));
            }
            let Some(piece) = self.pieces.last_mut() else { return };
            let (now, later) = rows.split_at(rows.len().min(SEGMENT - piece.len()));
            piece.extend_from_slice(now);
            rows = later;
        }
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
    /// Fingerprint of its shelf within the site.
    pub shelf: u32,
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
    pub cards: Vec<Card>,
    /// The columns that at least one file has.
    pub columns: ColumnSet,
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

    /// The site of a row; `None` when none is written.
    pub fn site(&self, row: &Row) -> Option<&Site> {
        self.sites.get(self.cards.get(row.card as usize)?.site as usize)
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
