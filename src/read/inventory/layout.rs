//! Where the columns of one file stand, and in which units.

use std::hash::{BuildHasher, Hasher};

use foldhash::quality::FixedState;

use super::header::{Recognized, Synonyms, recognize};
use super::map::ColumnMap;
use crate::check::Finding;
use crate::check::inventory_rules::no_heads;
use crate::inventory::number::{LevelUnit, Quantity};
use crate::inventory::{COLUMNS, Column, ColumnKind, ColumnSet};
use crate::place::{FileId, Origin};

/// A head that is used, or not.
#[derive(Debug, Clone)]
pub struct HeadUse {
    /// The head as written.
    pub head: String,
    /// What it means; `None` = not used.
    pub column: Option<Column>,
    /// The unit of numbers without one.
    pub unit: String,
    /// The first cell that is not empty.
    pub example: String,
}

/// Where each column stands.
#[derive(Debug, Clone)]
pub struct Layout {
    /// What parts the cells.
    pub delimiter: u8,
    /// Line of the heads, from 1.
    pub header_line: usize,
    /// Bytes of the file before the first row.
    pub body: u64,
    /// Line of the first row, from 1.
    pub first_line: u64,
    /// The heads.
    pub heads: Vec<HeadUse>,
    /// The columns there are.
    pub columns: ColumnSet,
    /// Index of each column among the cells, by [`Column`]; [`Layout::ABSENT`] = not there.
    index: Vec<u16>,
    /// Runs of neighboring cells that are words.
    pub(super) word_runs: Vec<(u16, u16)>,
    /// Tells runs of words in one order of columns from runs in another.
    pub(super) words_state: FixedState,
    /// Word columns with their index among the cells, in profile order.
    pub(super) words: Vec<u16>,
    /// Columns of numbers with their index and quantity.
    pub(super) numbers: Vec<(Column, u16, Quantity)>,
    /// Columns to be filled down.
    pub(super) fill_down: Vec<(Column, u16)>,
}

impl Layout {
    /// Index of a column that is not there.
    pub(super) const ABSENT: u16 = u16::MAX;

    /// Finds the heads in the first bytes of a file, which begin at byte `start` of it.
    ///
    /// # Errors
    /// One finding: no line names two columns.
    pub(super) fn of(
        sample: &[u8],
        start: u64,
        synonyms: &Synonyms,
        map: &ColumnMap,
        file: FileId,
        name: &str,
    ) -> Result<Self, Box<Finding>> {
        let Some(found) = recognize(sample, synonyms, map) else {
            return Err(Box::new(no_heads::finding(Origin::whole(file), name, &first_line(sample))));
        };
        Ok(Self::from_heads(&found, sample, start, map))
    }

    fn from_heads(found: &Recognized, sample: &[u8], start: u64, map: &ColumnMap) -> Self {
        let mut index = vec![Self::ABSENT; COLUMNS.len()];
        let mut columns = ColumnSet::default();
        let mut numbers = Vec::new();
        for (at, (column, unit)) in found.columns.iter().enumerate() {
            let Some(column) = *column else { continue };
            index[column as usize] = at as u16;
            columns.insert(column);
            if let Some(quantity) = quantity(column, unit) {
                numbers.push((column, at as u16, quantity));
            }
        }
        let words: Vec<u16> = COLUMNS
            .iter()
            .filter(|column| column.kind() == ColumnKind::Word)
            .map(|column| index[*column as usize])
            .collect();
        let fill_down = map.fill_down.iter().map(|column| (*column, index[*column as usize]));
        Self {
            delimiter: found.delimiter,
            header_line: found.line,
            body: start + found.body as u64,
            first_line: super::fields::lines(&sample[..found.body]) + 1,
            heads: uses(found, sample),
            columns,
            word_runs: runs(&words),
            words_state: words_state(found.delimiter, &words),
            words,
            numbers,
            fill_down: fill_down.filter(|(_, at)| *at != Self::ABSENT).collect(),
            index,
        }
    }

    /// The index of a column among the cells.
    pub(super) fn at(&self, column: Column) -> usize {
        usize::from(self.index[column as usize])
    }

    /// Whether the file has a column.
    pub(super) fn has(&self, column: Column) -> bool {
        self.index[column as usize] != Self::ABSENT
    }
}

/// The first line that holds something, for a finding.
fn first_line(sample: &[u8]) -> String {
    let text = super::header::text(&sample[..sample.len().min(2_000)]);
    let line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    line.chars().take(120).collect()
}

/// Neighboring indices as runs, first to last.
fn runs(words: &[u16]) -> Vec<(u16, u16)> {
    let mut sorted: Vec<u16> = words.iter().copied().filter(|at| *at != Layout::ABSENT).collect();
    sorted.sort_unstable();
    let mut runs: Vec<(u16, u16)> = Vec::new();
    for at in sorted {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == at => *last = at,
            _ => runs.push((at, at)),
        }
    }
    runs
}

fn words_state(delimiter: u8, words: &[u16]) -> FixedState {
    let mut hasher = FixedState::with_seed(7).build_hasher();
    hasher.write_u8(delimiter);
    words.iter().for_each(|at| hasher.write_u16(*at));
    FixedState::with_seed(hasher.finish())
}

/// What a column of numbers stands for, with the unit of its head.
fn quantity(column: Column, unit: &str) -> Option<Quantity> {
    let meters = |usual: f64| match unit {
        "m" => 1.0,
        "km" => 1000.0,
        "ft" | "feet" => 0.3048,
        "kft" => 304.8,
        "mi" | "miles" => 1609.344,
        _ => usual,
    };
    Some(match column {
        Column::Tx | Column::Rx => Quantity::Level(match unit {
            "mw" => LevelUnit::Milliwatt,
            "uw" | "µw" | "μw" => LevelUnit::Microwatt,
            "cdbm" | "0.01 dbm" => LevelUnit::Hundredth,
            _ => LevelUnit::Dbm,
        }),
        Column::PathLoss | Column::Pad => Quantity::Loss,
        Column::PathLength => Quantity::Length(meters(1000.0)),
        Column::JumperLength => Quantity::Length(meters(1.0)),
        Column::Temperature => Quantity::Temperature,
        Column::Bias => Quantity::Bias,
        Column::Voltage => Quantity::Voltage,
        Column::Onus => Quantity::Count,
        _ => return None,
    })
}

/// The heads with an example from the rows below.
fn uses(found: &Recognized, sample: &[u8]) -> Vec<HeadUse> {
    let body = &sample[found.body..];
    let mut examples = vec![String::new(); found.heads.len()];
    let mut splitter = super::fields::Splitter::new(body, found.delimiter);
    let mut fields = super::fields::Fields::default();
    for _ in 0..50 {
        if splitter.next(&mut fields).is_none() {
            break;
        }
        for (at, example) in examples.iter_mut().enumerate() {
            if example.is_empty() {
                *example = super::header::text(fields.cell(body, at));
            }
        }
    }
    let heads = found.heads.iter().zip(&found.columns).zip(examples);
    heads
        .map(|((head, (column, unit)), example)| HeadUse {
            head: head.clone(),
            column: *column,
            unit: unit.clone(),
            example,
        })
        .collect()
}
