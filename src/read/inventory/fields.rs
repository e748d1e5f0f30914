//! The cells of one record: cut where they stand, copied only where quotes or the encoding demand it.
//!
//! A cell in quotes may hold delimiters, line ends and doubled quotes, as in RFC 4180. A quote that
//! does not open a cell is a letter like any other (`200"`).

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use memchr::{memchr, memchr2};

use super::marks::Marks;

/// The cells of one record. They stand in the chunk, or in `scratch` when they had to be rewritten.
#[derive(Debug, Default)]
pub(super) struct Fields {
    /// Where the cell before each cell ends, and last where the last cell ends.
    ends: Vec<u32>,
    /// Bytes from the end of a cell to the next cell.
    gap: u32,
    scratch: Vec<u8>,
    rewritten: bool,
    quoted_ends: Vec<usize>,
}

impl Fields {
    /// Number of cells.
    pub(super) fn len(&self) -> usize {
        self.ends.len().saturating_sub(1)
    }

    /// The cells, to be looked at.
    pub(super) fn cells<'a>(&'a self, chunk: &'a [u8]) -> Cells<'a> {
        let text = if self.rewritten { &self.scratch } else { chunk };
        Cells { text, ends: &self.ends, gap: self.gap }
    }

    /// A cell without the blanks around it; empty where the record has no such cell.
    pub(super) fn cell<'a>(&'a self, chunk: &'a [u8], index: usize) -> &'a [u8] {
        self.cells(chunk).cell(index)
    }

    /// Takes the cells of a record without quotes: where they end, which is where a delimiter or the end
    /// of the record stands.
    fn take(&mut self, start: usize, ends: &[u32]) {
        self.ends.clear();
        self.ends.push((start as u32).wrapping_sub(1));
        self.ends.extend_from_slice(ends);
        (self.gap, self.rewritten) = (1, false);
    }

    /// Leaves the carriage return before a line end out of the last cell.
    fn end_before_return(&mut self) {
        if let Some(end) = self.ends.last_mut() {
            *end -= 1;
        }
    }

    /// Replaces cells: `change` gives the new text of a cell, or `None` to keep it.
    pub(super) fn rewrite(&mut self, chunk: &[u8], change: impl Fn(usize, &[u8]) -> Option<Vec<u8>>) {
        let mut text = Vec::with_capacity(256);
        let mut ends = vec![0];
        for index in 0..self.len() {
            let old = self.cells(chunk).whole(index);
            match change(index, old) {
                Some(new) => text.extend_from_slice(&new),
                None => text.extend_from_slice(old),
            }
            ends.push(text.len() as u32);
        }
        self.ends = ends;
        self.scratch = text;
        (self.gap, self.rewritten) = (0, true);
    }
}

/// The cells of one record where they stand.
#[derive(Debug, Clone, Copy)]
pub(super) struct Cells<'a> {
    text: &'a [u8],
    ends: &'a [u32],
    gap: u32,
}

impl<'a> Cells<'a> {
    /// Number of cells.
    pub(super) fn len(self) -> usize {
        self.ends.len().saturating_sub(1)
    }

    /// A cell as it stands; empty where the record has no such cell.
    fn whole(self, index: usize) -> &'a [u8] {
        let Some([before, end]) = self.ends.get(index..index + 2) else { return b"" };
        self.text.get(before.wrapping_add(self.gap) as usize..*end as usize).unwrap_or_default()
    }

    /// A cell without the blanks around it; empty where the record has no such cell.
    pub(super) fn cell(self, index: usize) -> &'a [u8] {
        let cell = self.whole(index);
        match cell {
            [first, .., last] if *first > b' ' && *last > b' ' => cell,
            _ => cell.trim_ascii(),
        }
    }

    /// What stands from one cell to another, delimiters included; `None` where quotes had to be taken
    /// out of the record.
    pub(super) fn run(self, first: usize, last: usize) -> Option<&'a [u8]> {
        if self.gap == 0 {
            return None;
        }
        let (before, end) = (self.ends.get(first)?, self.ends.get(last + 1)?);
        self.text.get(before.wrapping_add(self.gap) as usize..*end as usize)
    }
}

/// Cuts a chunk of whole records into records.
pub(super) struct Splitter<'c> {
    chunk: &'c [u8],
    delimiter: u8,
    at: usize,
    /// No byte from here to the end is a quote, or the next quote stands there.
    next_quote: usize,
    /// As `next_quote`, of carriage returns.
    next_return: usize,
    marks: Marks,
    /// Made when the first quote is met: most files have none.
    quoted: Option<Reader>,
}

impl<'c> Splitter<'c> {
    pub(super) fn new(chunk: &'c [u8], delimiter: u8) -> Self {
        let next_quote = memchr(b'"', chunk).unwrap_or(chunk.len());
        let next_return = memchr(b'\r', chunk).unwrap_or(chunk.len());
        Self { chunk, delimiter, at: 0, next_quote, next_return, marks: Marks::default(), quoted: None }
    }

    /// Reads the next record and returns the byte at which it begins; lines without a byte are left
    /// out.
    pub(super) fn next(&mut self, fields: &mut Fields) -> Option<usize> {
        loop {
            let start = self.at;
            if start >= self.chunk.len() {
                return None;
            }
            for (next, byte) in [(&mut self.next_quote, b'"'), (&mut self.next_return, b'\r')] {
                if *next < start {
                    let found = memchr(byte, &self.chunk[start..]);
                    *next = found.map_or(self.chunk.len(), |at| start + at);
                }
            }
            let ends = self.marks.line(self.chunk, self.delimiter, start);
            let line_end = ends.last().map_or(self.chunk.len(), |end| *end as usize);
            // A carriage return within a line ends a record, too.
            if self.next_quote < line_end || self.next_return + 1 < line_end {
                if self.cut_quoted(start, fields) {
                    return Some(start);
                }
                continue;
            }
            self.at = line_end + 1;
            if line_end > start {
                fields.take(start, ends);
                self.marks.pass();
                if self.chunk[line_end - 1] != b'\r' {
                    return Some(start);
                }
                if line_end - 1 > start {
                    fields.end_before_return();
                    return Some(start);
                }
            }
        }
    }

    /// A record with a quote; `false` when the rest holds none.
    fn cut_quoted(&mut self, start: usize, fields: &mut Fields) -> bool {
        let delimiter = self.delimiter;
        let quoted =
            self.quoted.get_or_insert_with(|| ReaderBuilder::new().delimiter(delimiter).build());
        quoted.reset();
        let mut input = &self.chunk[start..];
        let (mut written, mut ended) = (0, 0);
        fields.scratch.resize(fields.scratch.len().max(4096), 0);
        fields.quoted_ends.resize(fields.quoted_ends.len().max(64), 0);
        loop {
            let (scratch, quoted_ends) =
                (&mut fields.scratch[written..], &mut fields.quoted_ends[ended..]);
            let (result, read, wrote, ends) = quoted.read_record(input, scratch, quoted_ends);
            input = &input[read..];
            written += wrote;
            ended += ends;
            match result {
                ReadRecordResult::OutputFull => fields.scratch.resize(fields.scratch.len() * 2, 0),
                ReadRecordResult::OutputEndsFull => {
                    fields.quoted_ends.resize(fields.quoted_ends.len() * 2, 0);
                }
                // The end of the chunk is the end of its last record.
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::Record => break,
                ReadRecordResult::End => {
                    self.at = self.chunk.len();
                    return false;
                }
            }
        }
        self.at = self.chunk.len() - input.len();
        // After CR the reader stops before LF; the next call would take it for an empty line.
        fields.ends.clear();
        fields.ends.push(0);
        fields.ends.extend(fields.quoted_ends[..ended].iter().map(|end| *end as u32));
        fields.gap = 0;
        fields.rewritten = true;
        true
    }
}

/// The end of the last whole record of `bytes`, which begin with a record; `None` when none is whole.
///
/// # Errors
/// The byte of a quote that opens a cell and is not closed within `longest` bytes.
pub(super) fn last_record_end(
    bytes: &[u8],
    delimiter: u8,
    longest: usize,
) -> Result<Option<usize>, usize> {
    let mut last = None;
    let mut outside = 0;
    loop {
        let Some(quote) = next_opening(bytes, outside, delimiter) else {
            let end = memchr::memrchr(b'\n', &bytes[outside..]).map(|at| outside + at + 1);
            return Ok(end.or(last));
        };
        if let Some(at) = memchr::memrchr(b'\n', &bytes[outside..quote]) {
            last = Some(outside + at + 1);
        }
        match closing(bytes, quote + 1) {
            Some(close) => outside = close + 1,
            None if bytes.len() - quote > longest => return Err(quote),
            None => return Ok(last),
        }
    }
}

/// The quote that opens a cell and is not closed up to the end of `bytes`, which end with the input.
pub(super) fn left_open(bytes: &[u8], delimiter: u8) -> Option<usize> {
    let mut outside = 0;
    while let Some(quote) = next_opening(bytes, outside, delimiter) {
        match closing(bytes, quote + 1) {
            Some(close) => outside = close + 1,
            None => return (!ends_closed(&bytes[quote + 1..])).then_some(quote),
        }
    }
    None
}

/// Whether the last byte of a cell in quotes closes it: the last of an odd number of quotes.
fn ends_closed(cell: &[u8]) -> bool {
    cell.iter().rev().take_while(|byte| **byte == b'"').count() % 2 == 1
}

/// The next quote that opens a cell.
fn next_opening(bytes: &[u8], mut from: usize, delimiter: u8) -> Option<usize> {
    loop {
        let at = from + memchr(b'"', bytes.get(from..)?)?;
        let opens = at == 0 || bytes[at - 1] == delimiter || matches!(bytes[at - 1], b'\n' | b'\r');
        if opens {
            return Some(at);
        }
        from = at + 1;
    }
}

/// The quote that closes a cell: one that is not doubled.
fn closing(bytes: &[u8], mut from: usize) -> Option<usize> {
    loop {
        let at = from + memchr(b'"', bytes.get(from..)?)?;
        if bytes.get(at + 1) != Some(&b'"') {
            // At the very end the next byte is not known yet: wait for it.
            return (at + 1 < bytes.len()).then_some(at);
        }
        from = at + 2;
    }
}

/// Number of line ends.
pub(super) fn lines(bytes: &[u8]) -> u64 {
    memchr::memchr_iter(b'\n', bytes).count() as u64
}

/// Whether a text has a carriage return but no line feed.
pub(super) fn has_only_returns(sample: &[u8]) -> bool {
    memchr(b'\n', sample).is_none() && memchr2(b'\r', b'\r', sample).is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn split(text: &str) -> Vec<Vec<String>> {
        let mut splitter = Splitter::new(text.as_bytes(), b',');
        let mut fields = Fields::default();
        let mut rows = Vec::new();
        while splitter.next(&mut fields).is_some() {
            let cell = |i| String::from_utf8_lossy(fields.cell(text.as_bytes(), i)).into_owned();
            rows.push((0..fields.len()).map(cell).collect());
        }
        rows
    }

    #[test]
    fn plain_and_quoted_records_mix() {
        let rows = split("a,b\r\n\"x,1\",\"y\"\"z\"\n\n200\",\"two\nlines\"\nlast,");
        assert_eq!(
            rows,
            [vec!["a", "b"], vec!["x,1", "y\"z"], vec!["200\"", "two\nlines"], vec!["last", ""]]
        );
    }

    #[test]
    fn records_are_cut_at_their_ends_only() {
        let text = b"a,\"x\ny\",1\nb,2\nc,\"open\n";
        let end = last_record_end(text, b',', 1000).expect("no long cell");
        assert_eq!(end, Some(b"a,\"x\ny\",1\nb,2\n".len()));
        assert_eq!(last_record_end(text, b',', 3), Err(b"a,\"x\ny\",1\nb,2\nc,".len()));
        assert_eq!(last_record_end(b"5\" pipe\nx", b',', 1000), Ok(Some(8)));
        assert_eq!(last_record_end(b"no end", b',', 1000), Ok(None));
    }

    #[test]
    fn a_quote_is_open_only_where_nothing_closes_it() {
        let open = |text: &str| left_open(text.as_bytes(), b',');
        assert_eq!(open("a,\"b\nc,d\n"), Some(2));
        assert_eq!(open("\"a\",\"b\"\"\nc"), Some(4));
        for sound in ["a,\"b\"", "a,\"b\"\n", "\"\"", "a,\"b\"\"\"", "5\" pipe\nx", "a,b"] {
            assert_eq!(open(sound), None, "{sound}");
        }
        assert_eq!(open("\""), Some(0));
        assert_eq!(open("\"b\"\""), Some(0));
    }

    proptest::proptest! {
        /// Against the csv crate, on bytes that quotes, delimiters and line ends make difficult.
        #[test]
        fn cuts_as_the_csv_crate_does(text in "[ab,\"\n\r]{0,60}") {
            let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
            let theirs: Vec<Vec<String>> = reader
                .byte_records()
                .filter_map(Result::ok)
                .map(|r| r.iter().map(|c| String::from_utf8_lossy(c.trim_ascii()).into_owned()).collect())
                .collect();
            proptest::prop_assert_eq!(split(&text), theirs);
        }

        /// A cut never falls inside a record: both parts together give the records of the whole.
        #[test]
        fn a_cut_parts_no_record(text in "[ab,\"\n\r]{0,60}") {
            if let Ok(Some(end)) = last_record_end(text.as_bytes(), b',', 1000) {
                let mut parts = split(&text[..end]);
                parts.extend(split(&text[end..]));
                proptest::prop_assert_eq!(parts, split(&text));
            }
        }
    }
}
