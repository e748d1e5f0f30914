//! The cells of one record: cut where they stand, copied only where quotes or the encoding demand it.
//!
//! A cell in quotes may hold delimiters, line ends and doubled quotes, as in RFC 4180. A quote that
//! does not open a cell is a letter like any other (`200"`).

use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use memchr::{memchr, memchr2};

/// The cells of one record. They stand in the chunk, or in `scratch` when they had to be rewritten.
#[derive(Debug, Default)]
pub(super) struct Fields {
    bounds: Vec<(u32, u32)>,
    scratch: Vec<u8>,
    rewritten: bool,
    ends: Vec<usize>,
}

impl Fields {
    /// Number of cells.
    pub(super) fn len(&self) -> usize {
        self.bounds.len()
    }

    /// The bytes in which the cells stand.
    pub(super) fn text<'a>(&'a self, chunk: &'a [u8]) -> &'a [u8] {
        if self.rewritten { &self.scratch } else { chunk }
    }

    /// Whether the cells were copied.
    pub(super) fn is_rewritten(&self) -> bool {
        self.rewritten
    }

    /// Where a cell stands in [`Fields::text`].
    pub(super) fn bound(&self, index: usize) -> (usize, usize) {
        let (start, end) = self.bounds[index];
        (start as usize, end as usize)
    }

    /// A cell without the blanks around it; empty where the record has no such cell.
    pub(super) fn cell<'a>(&'a self, chunk: &'a [u8], index: usize) -> &'a [u8] {
        match self.bounds.get(index) {
            Some((start, end)) => self.text(chunk)[*start as usize..*end as usize].trim_ascii(),
            None => b"",
        }
    }

    /// Replaces cells: `change` gives the new text of a cell, or `None` to keep it.
    pub(super) fn rewrite(&mut self, chunk: &[u8], change: impl Fn(usize, &[u8]) -> Option<Vec<u8>>) {
        let mut text = Vec::with_capacity(256);
        let mut bounds = Vec::with_capacity(self.bounds.len());
        for index in 0..self.bounds.len() {
            let (from, to) = self.bound(index);
            let old = &self.text(chunk)[from..to];
            let start = text.len() as u32;
            match change(index, old) {
                Some(new) => text.extend_from_slice(&new),
                None => text.extend_from_slice(old),
            }
            bounds.push((start, text.len() as u32));
            text.push(0);
        }
        self.bounds = bounds;
        self.scratch = text;
        self.rewritten = true;
    }
}

/// Cuts a chunk of whole records into records.
pub(super) struct Splitter<'c> {
    chunk: &'c [u8],
    delimiter: u8,
    at: usize,
    /// No byte from here to the end is a quote, or the next quote stands there.
    next_quote: usize,
    /// Made when the first quote is met: most files have none.
    quoted: Option<Reader>,
}

impl<'c> Splitter<'c> {
    pub(super) fn new(chunk: &'c [u8], delimiter: u8) -> Self {
        let next_quote = memchr(b'"', chunk).unwrap_or(chunk.len());
        Self { chunk, delimiter, at: 0, next_quote, quoted: None }
    }

    /// Reads the next record and returns the byte at which it begins; lines without a byte are left
    /// out.
    pub(super) fn next(&mut self, fields: &mut Fields) -> Option<usize> {
        loop {
            let start = self.at;
            if start >= self.chunk.len() {
                return None;
            }
            if self.next_quote < start {
                let found = memchr(b'"', &self.chunk[start..]);
                self.next_quote = found.map_or(self.chunk.len(), |at| start + at);
            }
            let line_end = memchr(b'\n', &self.chunk[start..]).map_or(self.chunk.len(), |at| start + at);
            if self.next_quote < line_end {
                if self.cut_quoted(start, fields) {
                    return Some(start);
                }
                continue;
            }
            self.at = line_end + 1;
            let end = if self.chunk[start..line_end].ends_with(b"\r") { line_end - 1 } else { line_end };
            if end > start {
                self.cut_plain(start, end, fields);
                return Some(start);
            }
        }
    }

    fn cut_plain(&self, start: usize, end: usize, fields: &mut Fields) {
        fields.bounds.clear();
        fields.rewritten = false;
        let mut from = start;
        for at in memchr::memchr_iter(self.delimiter, &self.chunk[start..end]) {
            fields.bounds.push((from as u32, (start + at) as u32));
            from = start + at + 1;
        }
        fields.bounds.push((from as u32, end as u32));
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
        fields.ends.resize(fields.ends.len().max(64), 0);
        loop {
            let (result, read, wrote, ends) =
                quoted.read_record(input, &mut fields.scratch[written..], &mut fields.ends[ended..]);
            input = &input[read..];
            written += wrote;
            ended += ends;
            match result {
                ReadRecordResult::OutputFull => fields.scratch.resize(fields.scratch.len() * 2, 0),
                ReadRecordResult::OutputEndsFull => fields.ends.resize(fields.ends.len() * 2, 0),
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
        fields.bounds.clear();
        let mut from = 0;
        for end in &fields.ends[..ended] {
            fields.bounds.push((from, *end as u32));
            from = *end as u32;
        }
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

    proptest::proptest! {
        /// Against the csv crate, on bytes that quotes, delimiters and line ends make difficult.
        #[test]
        fn cuts_as_the_csv_crate_does(text in "[ab,\"\n]{0,60}") {
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
        fn a_cut_parts_no_record(text in "[ab,\"\n]{0,60}") {
            if let Ok(Some(end)) = last_record_end(text.as_bytes(), b',', 1000) {
                let mut parts = split(&text[..end]);
                parts.extend(split(&text[end..]));
                proptest::prop_assert_eq!(parts, split(&text));
            }
        }
    }
}
