//! Where the columns of one file stand, and in which units.

use std::hash::{BuildHasher, Hasher};

use foldhash::quality::FixedState;

use super::Opened;
use super::fields::{Cells, left_open};
use super::header::{Recognized, Synonyms, recognize};
use super::map::ColumnMap;
use crate::check::Finding;
use crate::check::inventory_rules::no_heads;
use crate::check::plan_rules::syntax;
use crate::inventory::{COLUMNS, Column, ColumnKind, ColumnSet, Measure};
use crate::place::Origin;

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
    /// The column that it would mean, had not another head of the file taken it.
    pub doubled: Option<Column>,
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
    index: Vec<u32>,
    /// Runs of neighboring cells that are words.
    pub(super) word_runs: Vec<(u32, u32)>,
    /// Tells runs of words in one order of columns from runs in another.
    pub(super) words_state: FixedState,
    /// Word columns with their index among the cells, in profile order.
    pub(super) words: Vec<u32>,
    /// Columns of numbers with their index and measure.
    pub(super) numbers: Vec<(Column, u32, Measure)>,
    /// Columns to be filled down.
    pub(super) fill_down: Vec<(Column, u32)>,
}

impl Layout {
    /// Index of a column that is not there: no row has so many cells.
    pub(super) const ABSENT: u32 = u32::MAX / 2;

    /// Finds the heads in the first bytes of a file, which begin at byte `start` of it.
    ///
    /// # Errors
    /// One finding: no line names two columns, or the line that does has no end.
    pub(super) fn of(
        sample: &[u8],
        opened: &Opened,
        synonyms: &Synonyms,
        map: &ColumnMap,
    ) -> Result<Self, Box<Finding>> {
        let (file, name) = (opened.file_id, &opened.name);
        let Some(found) = recognize(sample, synonyms, map) else {
            return Err(Box::new(no_heads::finding(Origin::whole(file), name, &first_line(sample))));
        };
        if let Some((line, message)) = endless(&found, sample, opened) {
            return Err(Box::new(syntax::RULE.hit(Origin::line(file, line as u32), name, message)));
        }
        Ok(Self::from_heads(&found, sample, opened.start, map))
    }

    fn from_heads(found: &Recognized, sample: &[u8], start: u64, map: &ColumnMap) -> Self {
        let mut index = vec![Self::ABSENT; COLUMNS.len()];
        let mut columns = ColumnSet::default();
        let mut numbers = Vec::new();
        for (at, head) in found.columns.iter().enumerate() {
            let Some(column) = head.column else { continue };
            index[column as usize] = at as u32;
            columns.insert(column);
            if let Some(measure) = Measure::of(column, &head.unit) {
                numbers.push((column, at as u32, measure));
            }
        }
        let words: Vec<u32> = COLUMNS
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
        self.index[column as usize] as usize
    }

    /// Whether a row is the line of heads once more.
    pub(super) fn repeats_heads(&self, cells: Cells<'_>) -> bool {
        let same =
            |(at, head): (usize, &HeadUse)| cells.cell(at).eq_ignore_ascii_case(head.head.as_bytes());
        cells.len() == self.heads.len() && self.heads.iter().enumerate().all(same)
    }

    /// Whether the file has a column.
    pub(super) fn has(&self, column: Column) -> bool {
        self.index[column as usize] != Self::ABSENT
    }
}

/// Why heads do not end within the first bytes of a file, with the line.
fn endless(found: &Recognized, sample: &[u8], opened: &Opened) -> Option<(usize, String)> {
    if let Some(quote) = left_open(&sample[..found.body], found.delimiter) {
        let line = super::fields::lines(&sample[..quote]) as usize + 1;
        return Some((line, format!("a quotation mark is opened in line {line} and not closed")));
    }
    let more = opened.length > opened.start + sample.len() as u64;
    (more && found.body == sample.len()).then(|| {
        let most = sample.len();
        let line = found.line;
        (
            line,
            format!(
                "the heads in line {line} are longer than the {most} bytes in which they are looked for"
            ),
        )
    })
}

/// The first line that holds something, for a finding.
fn first_line(sample: &[u8]) -> String {
    let text = super::header::text(&sample[..sample.len().min(2_000)]);
    let line = text.lines().find(|line| !line.trim().is_empty()).unwrap_or_default();
    line.chars().take(120).collect()
}

/// Neighboring indices as runs, first to last.
fn runs(words: &[u32]) -> Vec<(u32, u32)> {
    let mut sorted: Vec<u32> = words.iter().copied().filter(|at| *at != Layout::ABSENT).collect();
    sorted.sort_unstable();
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for at in sorted {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == at => *last = at,
            _ => runs.push((at, at)),
        }
    }
    runs
}

fn words_state(delimiter: u8, words: &[u32]) -> FixedState {
    let mut hasher = FixedState::with_seed(7).build_hasher();
    hasher.write_u8(delimiter);
    words.iter().for_each(|at| hasher.write_u32(*at));
    FixedState::with_seed(hasher.finish())
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
        .map(|((head, meaning), example)| HeadUse {
            head: head.clone(),
            column: meaning.column,
            unit: meaning.unit.clone(),
            example,
            doubled: meaning.doubled,
        })
        .collect()
}
