//! CSV text as records of cells, each with its place.
//!
//! RFC 4180, with any line end, blanks around cells, and blank lines. It is read here rather than
//! with the `csv` crate because every cell of a table must be able to say where it stands, and a
//! quotation mark that is never closed must be found.

use std::borrow::Cow;

use crate::check::Finding;
use crate::check::plan_rules::syntax;
use crate::place::{FileId, Origin};

/// One cell: its content without quotation marks and surrounding blanks, and where it starts.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cell<'t> {
    pub content: Cow<'t, str>,
    start: usize,
    end: usize,
    line: u32,
    line_start: usize,
}

/// The cells of one record.
pub(super) type Record<'t> = Vec<Cell<'t>>;

/// A CSV text that is read record by record.
pub(super) struct Sheet<'t> {
    text: &'t str,
    file: FileId,
    at: usize,
    line: u32,
    line_start: usize,
}

impl<'t> Sheet<'t> {
    pub fn new(text: &'t str, file: FileId) -> Self {
        Self { text, file, at: 0, line: 1, line_start: 0 }
    }

    /// The next record in which anything is written. A record that breaks the rules of CSV is
    /// reported and left out.
    pub fn next(&mut self, findings: &mut Vec<Finding>) -> Option<Record<'t>> {
        while self.at < self.text.len() {
            match self.record() {
                Ok(record) if record.iter().all(|cell| cell.content.is_empty()) => {}
                Ok(record) => return Some(record),
                Err(finding) => findings.push(finding),
            }
        }
        None
    }

    /// Where a cell stands.
    pub fn origin(&self, cell: &Cell<'_>) -> Origin {
        Origin {
            file: self.file,
            line: cell.line,
            column: self.text[cell.line_start..cell.start].chars().count() as u32 + 1,
            start: cell.start as u32,
            length: (cell.end - cell.start) as u32,
        }
    }

    fn record(&mut self) -> Result<Record<'t>, Finding> {
        let mut record = Vec::new();
        loop {
            record.push(self.cell()?);
            if self.peek() != Some(b',') {
                self.line_end();
                return Ok(record);
            }
            self.at += 1;
        }
    }

    fn peek(&self) -> Option<u8> {
        self.text.as_bytes().get(self.at).copied()
    }

    /// Steps over one line end of any kind: `\n`, `\r\n` or `\r`.
    fn line_end(&mut self) {
        let rest = &self.text.as_bytes()[self.at..];
        let length = match rest {
            [b'\r', b'\n', ..] => 2,
            [] => return,
            _ => 1,
        };
        self.at += length;
        self.line += 1;
        self.line_start = self.at;
    }

    fn cell(&mut self) -> Result<Cell<'t>, Finding> {
        let rest = &self.text[self.at..];
        let ends = |b: u8| matches!(b, b',' | b'\n' | b'\r');
        let length = rest.bytes().position(ends).unwrap_or(rest.len());
        let raw = &rest[..length];
        let start = self.at + (raw.len() - raw.trim_start().len());
        let (line, line_start) = (self.line, self.line_start);
        let cell = |content, end| Cell { content, start, end, line, line_start };
        if raw.trim_start().starts_with('"') {
            self.at = start;
            let content = self.quoted()?;
            return Ok(cell(content, self.at));
        }
        self.at += length;
        let written = raw.trim();
        Ok(cell(Cow::Borrowed(written), start + written.len()))
    }

    /// A cell between quotation marks; two of them stand for one.
    fn quoted(&mut self) -> Result<Cow<'t, str>, Finding> {
        let opened = (self.at, self.line, self.line_start);
        let from = self.at + 1;
        let mut doubled = false;
        self.at = from;
        loop {
            match self.peek() {
                None => {
                    return Err(self.broken(opened, "this quotation mark is never closed"));
                }
                Some(b'"') if self.text.as_bytes().get(self.at + 1) == Some(&b'"') => {
                    doubled = true;
                    self.at += 2;
                }
                Some(b'"') => break,
                Some(b'\n' | b'\r') => self.line_end(),
                Some(_) => self.at += 1,
            }
        }
        let content = self.text[from..self.at].trim();
        self.at += 1;
        self.at += self.text[self.at..].bytes().take_while(|b| *b == b' ').count();
        if !matches!(self.peek(), None | Some(b',' | b'\n' | b'\r')) {
            let here = (self.at, self.line, self.line_start);
            self.at += self.text[self.at..].find(['\n', '\r']).unwrap_or(self.text.len() - self.at);
            self.line_end();
            return Err(self.broken(here, "text after a closing quotation mark"));
        }
        Ok(if doubled { content.replace("\"\"", "\"").into() } else { content.into() })
    }

    fn broken(&self, place: (usize, u32, usize), message: &str) -> Finding {
        let (start, line, line_start) = place;
        let cell = Cell { content: "".into(), start, end: start + 1, line, line_start };
        let hint = "a quotation mark within a quoted cell is written twice";
        syntax::RULE.hit(self.origin(&cell), "", message).hint(hint)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> (Vec<Vec<String>>, Vec<Finding>) {
        let mut sheet = Sheet::new(text, FileId(0));
        let (mut records, mut findings) = (Vec::new(), Vec::new());
        while let Some(record) = sheet.next(&mut findings) {
            records.push(record.into_iter().map(|cell| cell.content.into_owned()).collect());
        }
        (records, findings)
    }

    #[test]
    fn reads_quotes_line_ends_and_blank_lines() {
        let (records, findings) = read("a,b\r\n\n \"x, \"\"y\"\"\" ,  2 \r,,\n\"two\nlines\",z");
        assert_eq!(records, [vec!["a", "b"], vec!["x, \"y\"", "2"], vec!["two\nlines", "z"]]);
        assert!(findings.is_empty());
    }

    #[test]
    fn every_cell_knows_its_place() {
        let text = "a,b\n\"ü\nü\",üü, c";
        let mut sheet = Sheet::new(text, FileId(0));
        let mut findings = Vec::new();
        sheet.next(&mut findings);
        let record = sheet.next(&mut findings).unwrap_or_default();
        let places: Vec<_> = record
            .iter()
            .map(|cell| sheet.origin(cell))
            .map(|o| (o.line, o.column, &text[o.start as usize..(o.start + o.length) as usize]))
            .collect();
        assert_eq!(places, [(2, 1, "\"ü\nü\""), (3, 4, "üü"), (3, 8, "c")]);
    }

    #[test]
    fn a_broken_quotation_is_found_and_the_rest_is_read() {
        let (records, findings) = read("a,\"b\"c,d\ne,f\ng,\"h\n");
        assert_eq!(records, [vec!["e", "f"]]);
        let places: Vec<_> =
            findings.iter().map(|f| (f.origin.line, f.origin.column, f.message.as_str())).collect();
        assert_eq!(
            places,
            [
                (1, 6, "text after a closing quotation mark"),
                (3, 3, "this quotation mark is never closed")
            ]
        );
    }

    proptest! {
        /// Whatever a general-purpose CSV writer writes is read back as it was.
        #[test]
        fn agrees_with_another_writer(rows in prop::collection::vec(
            prop::collection::vec("[a-z\",\n;é]{0,4}[a-z\"é]", 3), 1..6)
        ) {
            let mut writer = csv::Writer::from_writer(Vec::new());
            for row in &rows {
                writer.write_record(row)?;
            }
            let bytes = writer.into_inner().map_err(|e| TestCaseError::fail(e.to_string()))?;
            let text = String::from_utf8(bytes)?;
            let (records, findings) = read(&text);
            prop_assert!(findings.is_empty());
            let trimmed: Vec<Vec<String>> =
                rows.iter().map(|r| r.iter().map(|c| c.trim().to_string()).collect()).collect();
            prop_assert_eq!(records, trimmed);
        }

        #[test]
        fn never_panics(text in "[a\",\r\n ü\u{0}]{0,40}") {
            let mut sheet = Sheet::new(&text, FileId(0));
            let mut findings = Vec::new();
            while let Some(record) = sheet.next(&mut findings) {
                for cell in &record {
                    let origin = sheet.origin(cell);
                    prop_assert!((origin.start + origin.length) as usize <= text.len());
                }
            }
        }
    }
}
