//! A file as chunks of whole records.

use std::fs::File;
use std::io::{Read, Seek, SeekFrom};

use super::fields::{last_record_end, left_open, lines};
use super::{Layout, Opened, Trouble};
use crate::check::plan_rules::syntax;
use crate::place::{FileId, Origin};
use crate::read::limits;

/// Usual bytes of a chunk.
const CHUNK: usize = 1 << 18;

/// Room for what is left of a chunk.
const ROOM: usize = 1 << 14;

/// A piece of a file that begins and ends with a record.
#[derive(Debug)]
pub(super) struct Chunk {
    pub(super) bytes: Vec<u8>,
    /// First byte in the file.
    pub(super) offset: u64,
}

/// Reads a file chunk by chunk.
pub(super) struct Chunks<'f> {
    file: &'f File,
    name: &'f str,
    id: FileId,
    delimiter: u8,
    /// Bytes read but not handed out.
    rest: Vec<u8>,
    /// Buffers that were handed back: memory that is mapped already.
    spare: Vec<Vec<u8>>,
    offset: u64,
    ended: bool,
}

impl<'f> Chunks<'f> {
    pub(super) fn new(opened: &'f Opened, layout: &Layout) -> Result<Self, Trouble> {
        let mut file = &opened.file;
        file.seek(SeekFrom::Start(layout.body))
            .map_err(Trouble::io(format!("reading {}", opened.name)))?;
        Ok(Self {
            file,
            name: &opened.name,
            id: opened.file_id,
            delimiter: layout.delimiter,
            rest: Vec::new(),
            spare: Vec::new(),
            offset: layout.body,
            ended: false,
        })
    }

    /// Takes buffers back, to be filled again.
    pub(super) fn recycle(&mut self, chunks: Vec<Chunk>) {
        self.spare.extend(chunks.into_iter().map(|chunk| chunk.bytes));
    }

    /// The next chunk; `None` at the end of the file.
    pub(super) fn next(&mut self) -> Result<Option<Chunk>, Trouble> {
        let mut bytes = std::mem::take(&mut self.rest);
        loop {
            if !self.ended {
                self.fill(&mut bytes)?;
            }
            if bytes.is_empty() {
                return Ok(None);
            }
            let end = self.end_of(&bytes).map_err(|quote| self.unclosed(&bytes, quote))?;
            if let Some(end) = end {
                let mut rest = self.spare.pop().unwrap_or_default();
                rest.clear();
                rest.extend_from_slice(&bytes[end..]);
                self.rest = rest;
                bytes.truncate(end);
                let offset = self.offset;
                self.offset += end as u64;
                return Ok(Some(Chunk { bytes, offset }));
            }
            if bytes.len() > 4 * limits::RECORD_BYTES {
                return Err(self.too_long());
            }
        }
    }

    /// Where the records at hand end; `None` when none is whole yet.
    ///
    /// # Errors
    /// The byte of a quote that is not closed.
    fn end_of(&self, bytes: &[u8]) -> Result<Option<usize>, usize> {
        if !self.ended {
            return last_record_end(bytes, self.delimiter, limits::RECORD_BYTES);
        }
        // The last record may lack its line end, but not the quote that closes a cell.
        left_open(bytes, self.delimiter).map_or(Ok(Some(bytes.len())), Err)
    }

    fn fill(&mut self, bytes: &mut Vec<u8>) -> Result<(), Trouble> {
        let before = bytes.len();
        // Room for the rest of the chunk before, too, so that a buffer never moves.
        bytes.reserve((CHUNK + ROOM).saturating_sub(before));
        let mut limited = self.file.take(CHUNK as u64);
        limited.read_to_end(bytes).map_err(Trouble::io(format!("reading {}", self.name)))?;
        self.ended = bytes.len() - before < CHUNK;
        Ok(())
    }

    fn unclosed(&self, bytes: &[u8], quote: usize) -> Trouble {
        let line = self.line(bytes, quote);
        let message = format!("a quotation mark is opened in line {line} and not closed");
        let hint = "close it, or double every quotation mark inside the cell";
        syntax::RULE.hit(Origin::line(self.id, line as u32), self.name, message).hint(hint).into()
    }

    fn too_long(&self) -> Trouble {
        let line = self.line(&[], 0);
        let message = format!("the row in line {line} is longer than {} bytes", limits::RECORD_BYTES);
        syntax::RULE.hit(Origin::line(self.id, line as u32), self.name, message).into()
    }

    /// The line of a byte that is at hand.
    fn line(&self, bytes: &[u8], at: usize) -> u64 {
        let before = super::again::lines_before(self.file, self.offset).unwrap_or(0);
        before + lines(&bytes[..at.min(bytes.len())]) + 1
    }
}
