//! Bulk rows from CSV: columns by name, one record buffer, places worked out when needed.
//!
//! The cells are separated by commas, semicolons or tabs, whichever the first line uses. Rows
//! without any content are passed over, as spreadsheets leave them behind.

use csv::StringRecord;

use super::given::{At, Given, clip, is_too_long, or_hint, suggest};
use super::reader::Reader;
use crate::check::plan_rules::{duplicate_key, empty, missing_column, syntax, unknown_column};
use crate::place::{FileId, Origin};
use crate::read::limits;

/// A CSV table while it is read.
pub(super) struct CsvTable<'t> {
    text: &'t str,
    file: FileId,
    separator: u8,
    rows: csv::Reader<&'t [u8]>,
    record: StringRecord,
    /// The key of each column; `None` for one that means nothing.
    columns: Vec<Option<&'static str>>,
}

/// Where a row stands.
#[derive(Debug, Clone, Copy)]
pub(super) struct RowPlace<'t> {
    text: &'t str,
    file: FileId,
    separator: u8,
    line: u32,
    start: usize,
    end: usize,
}

impl RowPlace<'_> {
    /// The row as a whole.
    pub(super) const fn origin(&self) -> Origin {
        Origin {
            file: self.file,
            line: self.line,
            column: 1,
            start: self.start as u32,
            length: (self.end - self.start) as u32,
        }
    }

    /// A cell of the row. A cell that is not there is the end of the row.
    pub(super) fn cell(&self, index: usize) -> Origin {
        let row = &self.text.as_bytes()[self.start..self.end];
        let mut begins = 0;
        let mut cell = 0;
        let mut quoted = false;
        let mut ends = row.len();
        for (at, byte) in row.iter().enumerate() {
            match byte {
                b'"' => quoted = !quoted,
                _ if *byte == self.separator && !quoted => {
                    if cell == index {
                        ends = at;
                        break;
                    }
                    cell += 1;
                    begins = at + 1;
                }
                _ => {}
            }
        }
        if cell < index {
            begins = row.len();
        }
        let before = self.text.get(self.start..self.start + begins).unwrap_or_default();
        let breaks = before.matches('\n').count() as u32;
        let line_start = before.rfind('\n').map_or(0, |at| at + 1);
        Origin {
            file: self.file,
            line: self.line + breaks,
            column: before[line_start..].chars().count() as u32 + 1,
            start: (self.start + begins) as u32,
            length: (ends.max(begins) - begins) as u32,
        }
    }
}

impl<'t> CsvTable<'t> {
    /// Reads the first line. `None`, with findings, if the rows cannot be read.
    pub(super) fn open(
        reader: &mut Reader<'_>,
        (text, file): (&'t str, FileId),
        what: &str,
        known: &[&'static str],
        needed: &[&'static str],
    ) -> Option<Self> {
        let first = text.lines().find(|line| !line.trim().is_empty());
        let Some(first) = first else {
            let finding = empty::RULE.hit(Origin::whole(file), "", "the table holds no line at all");
            reader.findings.push(finding);
            return None;
        };
        let separator = separator(first);
        let rows = csv::ReaderBuilder::new()
            .delimiter(separator)
            .flexible(true)
            .has_headers(false)
            .from_reader(text.as_bytes());
        let record = StringRecord::new();
        let mut table = Self { text, file, separator, rows, record, columns: Vec::new() };
        let place = table.advance(reader)?;
        table.read_columns(reader, place, what, known);
        let missing: Vec<&str> =
            needed.iter().copied().filter(|key| table.column(key).is_none()).collect();
        for column in &missing {
            let message = format!("the table has no column `{column}`");
            reader.findings.push(missing_column::RULE.hit(place.origin(), *column, message));
        }
        missing.is_empty().then_some(table)
    }

    fn read_columns(
        &mut self,
        reader: &mut Reader<'_>,
        place: RowPlace<'_>,
        what: &str,
        known: &[&'static str],
    ) {
        for (index, written) in self.record.iter().enumerate() {
            let head = written.trim().to_lowercase();
            let key = known.iter().copied().find(|key| *key == head);
            let at = || place.cell(index);
            if key.is_some() && self.columns.contains(&key) {
                let message = format!("two columns are called `{head}`");
                reader.findings.push(duplicate_key::RULE.hit(at(), head, message));
                self.columns.push(None);
                continue;
            }
            if key.is_none() && !head.is_empty() {
                let message = format!("column `{}` means nothing in {what}", clip(written.trim()));
                let finding = unknown_column::RULE.hit(at(), clip(&head), message);
                let finding = suggest(finding, &head, known.iter().copied());
                let columns = format!("the columns are `{}`", known.join("`, `"));
                reader.findings.push(or_hint(finding, columns));
            }
            self.columns.push(key);
        }
    }

    /// How many rows are to come at most, and the bytes of the longest cells they can have.
    pub(super) fn expected(&self) -> (usize, usize) {
        let rows = self.text.bytes().filter(|byte| *byte == b'\n').count() + 1;
        (rows.min(limits::NAMES), self.text.len())
    }

    /// The index of the column of a key.
    pub(super) fn column(&self, key: &str) -> Option<usize> {
        self.columns.iter().position(|column| *column == Some(key))
    }

    /// The columns that mean something, with their indices.
    pub(super) fn columns(&self) -> Vec<(usize, &'static str)> {
        let columns = self.columns.iter().enumerate();
        columns.filter_map(|(index, key)| Some((index, (*key)?))).collect()
    }

    /// A cell of the present row; `None` when it is blank or its column is not there.
    pub(super) fn cell(&self, column: Option<usize>) -> Option<&str> {
        let text = self.record.get(column?)?;
        // Most cells begin and end with what is no blank: they need no search for one.
        let plain = |byte: Option<&u8>| byte.is_some_and(u8::is_ascii_graphic);
        let (first, last) = (text.as_bytes().first(), text.as_bytes().last());
        let text = if plain(first) && plain(last) { text } else { text.trim() };
        (!text.is_empty()).then_some(text)
    }

    /// Goes on to the next row that can be read.
    pub(super) fn next_row(&mut self, reader: &mut Reader<'_>) -> Option<RowPlace<'t>> {
        loop {
            let place = self.advance(reader)?;
            if self.record.as_slice().trim_start().is_empty() {
                continue;
            }
            match self.fault() {
                None => return Some(place),
                Some((index, message)) => {
                    let at = index.map_or_else(|| place.origin(), |index| place.cell(index));
                    if !reader.findings.only_count(&syntax::RULE, at) {
                        reader.findings.push(syntax::RULE.hit(at, "", message));
                    }
                }
            }
        }
    }

    /// What is wrong with the form of the present row, and in which cell.
    fn fault(&self) -> Option<(Option<usize>, String)> {
        let (columns, cells) = (self.columns.len(), self.record.len());
        let whole = self.record.as_slice();
        if whole.bytes().any(|byte| byte == b'\n') {
            let index = self.record.iter().position(|cell| cell.contains('\n'));
            let message = "a cell runs over several lines: its quote is not closed".to_string();
            return Some((index, message));
        }
        if is_too_long(whole)
            && let Some(index) = self.record.iter().position(is_too_long)
        {
            let message = format!("a cell is longer than {} characters", limits::CELL_CHARS);
            return Some((Some(index), message));
        }
        let full = self.record.iter().skip(columns).any(|cell| !cell.trim().is_empty());
        (cells < columns || full).then(|| {
            (None, format!("the row has {cells} cells, but the first line names {columns} columns"))
        })
    }

    /// Reads the next record and works out where it stands.
    fn advance(&mut self, reader: &mut Reader<'_>) -> Option<RowPlace<'t>> {
        let before = self.rows.position().clone();
        match self.rows.read_record(&mut self.record) {
            Ok(true) => Some(self.place(&before)),
            Ok(false) => None,
            Err(error) => {
                let at = Origin::line(self.file, before.line() as u32);
                reader.findings.push(syntax::RULE.hit(at, "", error.to_string()));
                None
            }
        }
    }

    /// The reader's position stands before the line ends and blank lines that it then skips.
    fn place(&self, before: &csv::Position) -> RowPlace<'t> {
        let bytes = self.text.as_bytes();
        let (mut start, mut line) = (before.byte() as usize, before.line() as u32);
        while let Some(byte @ (b'\r' | b'\n')) = bytes.get(start) {
            line += u32::from(*byte == b'\n');
            start += 1;
        }
        let mut end = (self.rows.position().byte() as usize).min(bytes.len()).max(start);
        while end > start && matches!(bytes[end - 1], b'\r' | b'\n') {
            end -= 1;
        }
        let (text, file, separator) = (self.text, self.file, self.separator);
        RowPlace { text, file, separator, line, start, end }
    }
}

/// Comma, unless the first line has semicolons or tabs and no comma.
fn separator(first: &str) -> u8 {
    [b',', b';', b'\t']
        .into_iter()
        .find(|separator| first.as_bytes().contains(separator))
        .unwrap_or(b',')
}

impl Reader<'_> {
    /// Opens the CSV file that `table` names and gives its text.
    pub(super) fn csv_text(
        &mut self,
        given: &Given<'_>,
    ) -> Option<(FileId, crate::read::sources::Text)> {
        let file = self.open_file(given)?;
        Some((file, self.sources.text(file)))
    }
}

impl<'g> At<'g> {
    /// A cell by its column; the row as a whole where the column is not there.
    pub(super) fn cell(place: &'g RowPlace<'g>, column: Option<usize>) -> Self {
        column.map_or_else(|| Self::Known(place.origin()), |column| Self::Cell(place, column))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cell_is_found_behind_quotes_and_breaks() {
        let text = "a,b,c\n\"x,\"\"y\",ü z,9 km\n";
        let row = RowPlace { text, file: FileId(0), separator: b',', line: 2, start: 6, end: 23 };
        let slice = |index| {
            let at = row.cell(index);
            &text[at.start as usize..(at.start + at.length) as usize]
        };
        assert_eq!([slice(0), slice(1), slice(2)], ["\"x,\"\"y\"", "ü z", "9 km"]);
        assert_eq!(row.cell(2).column, 13);
        assert_eq!((row.cell(7).start, row.cell(7).length), (23, 0));
    }

    #[test]
    fn the_first_line_tells_the_separator() {
        assert_eq!(separator("from,to;x,length"), b',');
        assert_eq!(separator("from;to;length"), b';');
        assert_eq!(separator("from\tto"), b'\t');
        assert_eq!(separator("from"), b',');
    }
}
