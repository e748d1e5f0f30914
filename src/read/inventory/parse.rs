//! One chunk becomes rows.

use super::caches::{Local, Shared};
use super::chunks::Chunk;
use super::fields::{Fields, Splitter};
use super::layout::Layout;
use super::map::ColumnMap;
use super::record::{Last, Reader};
use crate::inventory::{COLUMNS, Candidates, Column, Row, Turn, Turns};

/// What a chunk is read as.
pub(super) struct Parsed {
    pub(super) rows: Vec<Row>,
    pub(super) local: Local,
    pub(super) turns: Turns,
    pub(super) damaged: Vec<Candidates>,
    pub(super) groups: Vec<(u32, u32)>,
    pub(super) skipped: u64,
    pub(super) offset: u64,
    /// Line ends in the chunk.
    pub(super) lines: u64,
}

/// The last cells of the columns that are filled down.
pub(super) type Carry = Vec<Vec<u8>>;

/// Reads a chunk. `carry` is there where blanks are filled from the row above; chunks must then be
/// read in order.
pub(super) fn parse(
    chunk: &Chunk,
    file: u16,
    layout: &Layout,
    map: &ColumnMap,
    shared: &Shared,
    turns: Turns,
    mut carry: Option<&mut Carry>,
) -> Parsed {
    let mut reader = Reader {
        chunk: &chunk.bytes,
        layout,
        map,
        shared,
        local: Local::default(),
        turns,
        damaged: Vec::new(),
        groups: Vec::new(),
        file,
        offset: chunk.offset,
        at: 0,
        number: 0,
        buffer: Vec::with_capacity(64),
        last: Last::default(),
    };
    let sound = chunk.bytes.is_ascii() || str::from_utf8(&chunk.bytes).is_ok();
    let mut splitter = Splitter::new(&chunk.bytes, layout.delimiter);
    let mut fields = Fields::default();
    let mut rows = Vec::with_capacity(chunk.bytes.len() / 160);
    let mut skipped = 0;
    while let Some(at) = splitter.next(&mut fields) {
        reader.at = at;
        reader.number = rows.len() as u32;
        if !sound {
            widen(&mut fields, &mut reader);
        }
        if is_no_port(&fields, &reader) {
            skipped += 1;
            reader.turns.add(Column::Port, Turn::SkippedRow, (file, chunk.offset + at as u64), "");
            continue;
        }
        if let Some(carry) = carry.as_deref_mut() {
            fill_down(&mut fields, &mut reader, carry);
        }
        rows.push(reader.row(fields.cells(&chunk.bytes)));
    }
    let Reader { local, turns, damaged, groups, .. } = reader;
    let lines = super::fields::lines(&chunk.bytes);
    Parsed { rows, local, turns, damaged, groups, skipped, offset: chunk.offset, lines }
}

/// Cells that are not UTF-8 are read as Windows-1252.
fn widen(fields: &mut Fields, reader: &mut Reader<'_>) {
    let chunk = reader.chunk;
    let bad: Vec<usize> =
        (0..fields.len()).filter(|i| str::from_utf8(fields.cell(chunk, *i)).is_err()).collect();
    if bad.is_empty() {
        return;
    }
    let place = (reader.file, reader.offset + reader.at as u64);
    for index in &bad {
        let column = COLUMNS.iter().copied().find(|column| reader.layout.at(*column) == *index);
        let raw = super::header::text(fields.cell(chunk, *index));
        reader.turns.add(column.unwrap_or(Column::Note), Turn::Windows1252, place, &raw);
    }
    fields.rewrite(chunk, |index, cell| {
        bad.contains(&index).then(|| super::header::text(cell).into_bytes())
    });
}

/// A line that is empty but for delimiters, that sums up, or that holds the heads once more.
fn is_no_port(fields: &Fields, reader: &Reader<'_>) -> bool {
    let port = fields.cell(reader.chunk, reader.layout.at(Column::Port));
    let first = fields.cell(reader.chunk, 0);
    if reader.layout.repeats_heads(fields.cells(reader.chunk)) {
        return true;
    }
    if !port.is_empty() && !is_sum(first) {
        return false;
    }
    let mut written =
        (0..fields.len()).map(|i| fields.cell(reader.chunk, i)).filter(|cell| !cell.is_empty());
    let Some(first) = written.next() else { return true };
    // A sum may stand in the port's column, too; but then little else is written.
    is_sum(first) && written.count() <= SUMS_AT_MOST
}

/// Cells that a line of sums has beside its first word.
const SUMS_AT_MOST: usize = 3;

fn is_sum(cell: &[u8]) -> bool {
    const SUMS: [&[u8]; 7] = [b"total", b"totals", b"sum", b"sums", b"subtotal", b"subtotals", b"count"];
    const WHOLE: [&[u8]; 2] = [b"grand", b"overall"];
    let mut words = cell.split(|b| !b.is_ascii_alphabetic());
    let mut word = words.next().unwrap_or_default();
    if WHOLE.iter().any(|whole| word.eq_ignore_ascii_case(whole)) {
        word = words.next().unwrap_or_default();
    }
    SUMS.iter().any(|sum| word.eq_ignore_ascii_case(sum))
}

/// Fills blanks of the columns that the map names from the row above.
fn fill_down(fields: &mut Fields, reader: &mut Reader<'_>, carry: &mut Carry) {
    let chunk = reader.chunk;
    carry.resize(reader.layout.fill_down.len(), Vec::new());
    let place = (reader.file, reader.offset + reader.at as u64);
    let mut filled: Vec<(usize, usize)> = Vec::new();
    for (n, (column, at)) in reader.layout.fill_down.iter().enumerate() {
        let at = *at as usize;
        let cell = fields.cell(chunk, at);
        if !cell.is_empty() {
            carry[n] = cell.to_vec();
        } else if !carry[n].is_empty() && at < fields.len() {
            reader.turns.add(*column, Turn::FilledDown, place, &String::from_utf8_lossy(&carry[n]));
            filled.push((at, n));
        }
    }
    if !filled.is_empty() {
        fields.rewrite(chunk, |index, _| {
            filled.iter().find(|(at, _)| *at == index).map(|(_, n)| carry[*n].clone())
        });
    }
}
