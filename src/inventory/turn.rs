//! Reinterpretations: where a cell was read as something else than it says. All are counted.

use super::column::{COLUMNS, Column};

macro_rules! turns {
    ($($(#[$doc:meta])* $name:ident $words:literal,)*) => {
        /// One way of reading a cell as something else than it says.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
        #[repr(u8)]
        pub enum Turn { $($(#[$doc])* $name,)* }

        impl Turn {
            /// All of them.
            pub const ALL: &'static [Self] = &[$(Self::$name,)*];

            /// A few words for results.
            pub const fn words(self) -> &'static str {
                match self { $(Self::$name => $words,)* }
            }
        }
    };
}

turns! {
    /// `-7,9`.
    DecimalComma "decimal comma",
    /// `-7.9 dBm`.
    UnitInCell "unit written in the cell",
    /// `0.162 mW`.
    Milliwatts "milliwatts or microwatts turned into dBm",
    /// `-790`.
    Hundredths "hundredths of dB taken for what they are",
    /// `125` under a head that says 0.1 dB.
    Tenths "tenths of dB taken for what they are",
    /// `-7900`.
    Thousandths "thousandths of dB taken for what they are",
    /// `-40`, `-99`, `LOS`.
    Dark "sentinel read as dark",
    /// `200'`, `0.06 km` in a column of meters.
    LengthUnit "length in another unit than the column's",
    /// `−7.9` with a typographic minus, blanks inside, an apostrophe in front.
    Typography "typographic minus, blank or apostrophe dropped",
    /// `1,310.00`.
    Thousands "comma between thousands dropped",
    /// `-2.1|-2.3|-1.9|-40`.
    Lanes "list of lanes reduced to its weakest lit lane",
    /// A cell that is not UTF-8.
    Windows1252 "cell read as Windows-1252",
    /// A blank below a merged cell.
    FilledDown "blank filled from the row above",
    /// `~8.4`, `<4.1`, `ca. 3`.
    Doubtful "number with a doubt taken for the number",
    /// `2003-01-01` for `1/1/3`.
    Restored "name restored from a date, as the far end has it",
    /// A day that is no ISO date.
    DayForm "day not written as year-month-day",
    /// A line that is empty, a sum, or the heads once more.
    SkippedRow "line without a port left out (empty, a total, heads again)",
    /// Site and port of the far end stand in one cell.
    PartedFarEnd "far end parted into site and port",
    /// A site under another name of the map.
    SiteRenamed "site read by another name, as the map says",
}

/// The first cell that was read in one way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TurnExample {
    /// How many cells.
    pub count: u64,
    /// File and line of the first.
    pub file: u16,
    /// Byte in the file of the first one's row.
    pub offset: u64,
    /// The first cell as written.
    pub raw: String,
}

/// Counts of reinterpretations by column and kind; sums of parts are sums of wholes.
#[derive(Debug, Clone, Default)]
pub struct Turns {
    counts: Vec<Option<TurnExample>>,
    log: Option<Vec<TurnCell>>,
}

/// One cell that was read as something else than it says.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TurnCell {
    /// The column.
    pub column: Column,
    /// How it was read.
    pub turn: Turn,
    /// First byte of its row in the file.
    pub offset: u64,
    /// As written.
    pub raw: String,
}

impl Turns {
    /// Counts that keep every cell beside its count.
    pub fn logging() -> Self {
        Self { counts: Vec::new(), log: Some(Vec::new()) }
    }

    /// The cells that were kept.
    pub fn cells(&self) -> &[TurnCell] {
        self.log.as_deref().unwrap_or_default()
    }

    /// Counts one cell.
    pub fn add(&mut self, column: Column, turn: Turn, place: (u16, u64), raw: &str) {
        if let Some(log) = &mut self.log {
            log.push(TurnCell { column, turn, offset: place.1, raw: raw.to_string() });
        }
        if self.counts.is_empty() {
            self.counts.resize(COLUMNS.len() * Turn::ALL.len(), None);
        }
        let slot = &mut self.counts[column as usize * Turn::ALL.len() + turn as usize];
        match slot {
            Some(example) => example.count += 1,
            None => {
                let raw = raw.chars().take(60).collect();
                *slot = Some(TurnExample { count: 1, file: place.0, offset: place.1, raw });
            }
        }
    }

    /// Adds the counts of a later part of the input.
    pub fn merge(&mut self, later: Self) {
        if self.counts.is_empty() {
            self.counts = later.counts;
            return;
        }
        for (mine, other) in self.counts.iter_mut().zip(later.counts) {
            match (mine.as_mut(), other) {
                (Some(mine), Some(other)) => mine.count += other.count,
                (None, other) => *mine = other,
                (Some(_), None) => {}
            }
        }
    }

    /// All counts that are not zero, by column, then kind.
    pub fn all(&self) -> impl Iterator<Item = (Column, Turn, &TurnExample)> {
        self.counts.iter().enumerate().filter_map(|(index, example)| {
            let (column, turn) = (index / Turn::ALL.len(), index % Turn::ALL.len());
            Some((COLUMNS[column], Turn::ALL[turn], example.as_ref()?))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_add_up_and_the_first_example_stays() {
        let (mut a, mut b) = (Turns::default(), Turns::default());
        a.add(Column::Rx, Turn::Dark, (0, 10), "-40");
        b.add(Column::Rx, Turn::Dark, (0, 99), "N/A");
        b.add(Column::Tx, Turn::DecimalComma, (0, 99), "-7,9");
        a.merge(b);
        let all: Vec<_> = a.all().map(|(c, t, e)| (c, t, e.count, e.raw.as_str())).collect();
        assert_eq!(
            all,
            [(Column::Tx, Turn::DecimalComma, 1, "-7,9"), (Column::Rx, Turn::Dark, 2, "-40")]
        );
    }
}
