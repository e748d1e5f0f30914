//! Dumps of module memories: raw bytes, plain hex, or hex with offsets.
//!
//! Text may be parted in sections by lines that name what follows: `A0h`, `A2h`, `lower`,
//! `page 11h`. Without them the bytes are one run, and the map's usual order of blocks is taken.
//! Every fault of a text is a finding with its line and column; with one, nothing is decoded, for a
//! byte that is lost moves every field behind it.
//! Start reading at [`load`].

mod line;
mod text;

use std::path::Path;

use super::limits;
use super::sources::Sources;
use crate::check::Finding;
use crate::check::memory_rules::bad_dump;
use crate::fit::memory::Image;
use crate::place::{FileId, Origin};

/// A dump that was read.
#[derive(Debug, Clone)]
pub struct Dump {
    /// The bytes by block.
    pub image: Image,
    /// The file they come from.
    pub file: FileId,
}

/// Opens a dump.
///
/// # Errors
/// Every finding: the file is missing or too large, or its text is no dump.
pub fn load(path: &Path, sources: &mut Sources) -> Result<Dump, Vec<Finding>> {
    let (file, bytes) = sources.open_bytes(path, limits::DUMP_BYTES).map_err(|finding| vec![finding])?;
    let image = parse(&bytes, file)?;
    Ok(Dump { image, file })
}

/// Reads a dump that is in memory already.
///
/// # Errors
/// Every finding about its text.
pub fn parse(bytes: &[u8], file: FileId) -> Result<Image, Vec<Finding>> {
    const UTF_16: [[u8; 2]; 2] = [[0xFF, 0xFE], [0xFE, 0xFF]];
    match text_of(bytes) {
        Some(text) => text::parse(text, file),
        None if UTF_16.iter().any(|mark| bytes.starts_with(mark)) => {
            let message = "the dump is UTF-16 text; expected plain text or raw bytes";
            let hint = "save it again as UTF-8";
            Err(vec![bad_dump::RULE.hit(Origin::whole(file), "", message).hint(hint)])
        }
        None => Ok(Image::in_usual_order(bytes)),
    }
}

/// The dump as text, without a byte order mark; `None` for raw bytes. Raw bytes of a module hold
/// its identifier, a control character, so that no memory is taken for text.
fn text_of(bytes: &[u8]) -> Option<&str> {
    let text = str::from_utf8(bytes).ok()?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let printable = |c: char| !c.is_control() || matches!(c, '\t' | '\n' | '\r');
    text.chars().all(printable).then_some(text)
}
