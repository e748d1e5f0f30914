//! Reading single rows again, for findings: the raw cells are not kept in memory.

use std::fs::File;
use std::io;

use super::Trouble;
use super::fields::{Fields, Splitter, lines};
use super::header::text;
use super::load::Inputs;
use crate::inventory::{COLUMNS, Column, Inventory, WrittenRow};
use crate::read::limits;

/// Where a chunk begins.
#[derive(Debug, Clone, Copy)]
struct Place {
    first_row: u32,
    file: u16,
    offset: u64,
    line: u64,
}

/// Where rows stand: the first row of each chunk, its file, its first byte and its line.
#[derive(Debug, Default)]
pub struct Places {
    chunks: Vec<Place>,
}

impl Places {
    /// Adds a chunk.
    pub(super) fn add(&mut self, first_row: u32, file: u16, offset: u64, line: u64) {
        self.chunks.push(Place { first_row, file, offset, line });
    }

    /// File and first byte of a row.
    pub fn of(&self, inventory: &Inventory, row: u32) -> (u16, u64) {
        let after = self.chunks.partition_point(|place| place.first_row <= row);
        let (file, offset) =
            after.checked_sub(1).map_or((0, 0), |at| (self.chunks[at].file, self.chunks[at].offset));
        (file, offset + u64::from(inventory.rows.get(row).offset))
    }

    /// The last chunk of a file that begins at or before a byte: its first byte and line.
    fn before(&self, file: u16, offset: u64) -> Option<(u64, u64)> {
        let after = self.chunks.partition_point(|place| (place.file, place.offset) <= (file, offset));
        let place = self.chunks.get(after.checked_sub(1)?)?;
        (place.file == file).then_some((place.offset, place.line))
    }
}

/// Reads rows again. Rows asked for in their order are read with their lines counted.
pub struct Again<'a> {
    inputs: &'a Inputs,
    places: &'a Places,
    inventory: &'a Inventory,
    /// File, byte and line that the counting has come to.
    counted: (u16, u64, u64),
    fields: Fields,
}

/// Bytes that are read for one row at first.
const ROW: usize = 512;

impl<'a> Again<'a> {
    /// A reader that stands at the beginning.
    pub fn new(inputs: &'a Inputs, places: &'a Places, inventory: &'a Inventory) -> Self {
        Self { inputs, places, inventory, counted: (u16::MAX, 0, 0), fields: Fields::default() }
    }

    /// A row as it was written, with its line.
    ///
    /// # Errors
    /// The file cannot be read any more.
    pub fn row(&mut self, row: u32) -> Result<WrittenRow, Trouble> {
        let (file, offset) = self.places.of(self.inventory, row);
        let line = self.line(file, offset)?;
        let mut written = self.unnumbered(row)?;
        written.line = line;
        Ok(written)
    }

    /// A row as it was written, without its line.
    ///
    /// # Errors
    /// The file cannot be read any more.
    pub fn unnumbered(&mut self, row: u32) -> Result<WrittenRow, Trouble> {
        let (file, offset) = self.places.of(self.inventory, row);
        let (opened, layout) =
            (&self.inputs.files[usize::from(file)], &self.inputs.layouts[usize::from(file)]);
        let bytes = self.record(file, offset)?;
        let mut written = WrittenRow::default();
        written.file.clone_from(&opened.name);
        written.measures =
            layout.numbers.iter().map(|(column, _, measure)| (*column, *measure)).collect();
        let mut splitter = Splitter::new(&bytes, layout.delimiter);
        if splitter.next(&mut self.fields).is_none() {
            return Ok(written);
        }
        for column in COLUMNS.iter().copied().filter(|column| layout.has(*column)) {
            written.put(column, &text(self.fields.cell(&bytes, layout.at(column))));
        }
        if self.fields.len() != layout.heads.len() {
            written.width = Some((self.fields.len(), layout.heads.len()));
        }
        self.fill_down(row, file, &mut written)?;
        Ok(written)
    }

    /// One cell of a row as it was written.
    fn one_cell(&mut self, row: u32, column: Column) -> Result<String, Trouble> {
        let (file, offset) = self.places.of(self.inventory, row);
        let layout = &self.inputs.layouts[usize::from(file)];
        if layout.fill_down.iter().any(|(filled, _)| *filled == column) {
            return Ok(self.unnumbered(row)?.cell(column).to_string());
        }
        let bytes = self.record(file, offset)?;
        let mut splitter = Splitter::new(&bytes, layout.delimiter);
        if splitter.next(&mut self.fields).is_none() {
            return Ok(String::new());
        }
        Ok(text(self.fields.cell(&bytes, layout.at(column))))
    }

    /// Blanks of the columns that are filled from above get the text that stands there.
    fn fill_down(&mut self, row: u32, file: u16, written: &mut WrittenRow) -> Result<(), Trouble> {
        let layout = &self.inputs.layouts[usize::from(file)];
        for (column, at) in &layout.fill_down {
            let mut above = row;
            while written.cell(*column).is_empty() && above > 0 {
                above -= 1;
                let (of_file, offset) = self.places.of(self.inventory, above);
                if of_file != file {
                    break;
                }
                let bytes = self.record(file, offset)?;
                let mut splitter = Splitter::new(&bytes, layout.delimiter);
                if splitter.next(&mut self.fields).is_some() {
                    written.put(*column, &text(self.fields.cell(&bytes, *at as usize)));
                }
            }
        }
        Ok(())
    }

    /// The bytes of a record and what follows it; where there are none, the file was cut meanwhile.
    fn record(&self, file: u16, offset: u64) -> Result<Vec<u8>, Trouble> {
        let (opened, layout) =
            (&self.inputs.files[usize::from(file)], &self.inputs.layouts[usize::from(file)]);
        let mut most = ROW;
        loop {
            let bytes = read_at(&opened.file, offset, most)
                .map_err(Trouble::io(format!("reading {} again", opened.name)))?;
            if bytes.is_empty() {
                return Err(opened.has_changed());
            }
            let whole = bytes.len() < most || most > 2 * limits::RECORD_BYTES;
            let cut = super::fields::last_record_end(&bytes, layout.delimiter, usize::MAX);
            if whole || matches!(cut, Ok(Some(_))) {
                return Ok(bytes);
            }
            most *= 4;
        }
    }

    /// The line of a byte.
    fn line(&mut self, file: u16, offset: u64) -> Result<u64, Trouble> {
        let opened = &self.inputs.files[usize::from(file)];
        let layout = &self.inputs.layouts[usize::from(file)];
        let (start, line) = self.places.before(file, offset).unwrap_or((layout.body, layout.first_line));
        if self.counted.0 != file || self.counted.1 > offset || self.counted.1 < start {
            self.counted = (file, start, line);
        }
        while self.counted.1 < offset {
            let step = usize::try_from(offset - self.counted.1).unwrap_or(usize::MAX).min(1 << 20);
            let bytes = read_at(&opened.file, self.counted.1, step)
                .map_err(Trouble::io(format!("reading {} again", opened.name)))?;
            if bytes.is_empty() {
                break;
            }
            self.counted.2 += lines(&bytes);
            self.counted.1 += bytes.len() as u64;
        }
        Ok(self.counted.2)
    }

    /// File and line of a byte, for examples of reinterpretations.
    ///
    /// # Errors
    /// The file cannot be read any more.
    pub fn place(&mut self, file: u16, offset: u64) -> Result<(String, u64), Trouble> {
        let line = self.line(file, offset)?;
        Ok((self.inputs.files[usize::from(file)].name.clone(), line))
    }
}

#[cfg(unix)]
fn read_once(file: &File, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
    std::os::unix::fs::FileExt::read_at(file, buffer, offset)
}

#[cfg(windows)]
fn read_once(file: &File, buffer: &mut [u8], offset: u64) -> io::Result<usize> {
    std::os::windows::fs::FileExt::seek_read(file, buffer, offset)
}

/// Reads at most so many bytes from a place.
pub(super) fn read_at(file: &File, offset: u64, most: usize) -> io::Result<Vec<u8>> {
    let mut bytes = vec![0; most];
    let mut filled = 0;
    while filled < most {
        match read_once(file, &mut bytes[filled..], offset + filled as u64) {
            Ok(0) => break,
            Ok(count) => filled += count,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
    bytes.truncate(filled);
    Ok(bytes)
}

/// Line ends before a byte of a file.
pub(super) fn lines_before(file: &File, offset: u64) -> io::Result<u64> {
    let (mut at, mut count) = (0, 0);
    while at < offset {
        let step = usize::try_from(offset - at).unwrap_or(usize::MAX).min(1 << 20);
        let bytes = read_at(file, at, step)?;
        if bytes.is_empty() {
            break;
        }
        count += lines(&bytes);
        at += bytes.len() as u64;
    }
    Ok(count)
}

impl crate::audit::Texts for Again<'_> {
    type Trouble = Trouble;

    fn another(&self) -> Self {
        Self::new(self.inputs, self.places, self.inventory)
    }

    fn cell(&mut self, row: u32, column: Column) -> Result<String, Trouble> {
        self.one_cell(row, column)
    }

    fn written(&mut self, row: u32, numbered: bool) -> Result<WrittenRow, Trouble> {
        if numbered { self.row(row) } else { self.unnumbered(row) }
    }
}
