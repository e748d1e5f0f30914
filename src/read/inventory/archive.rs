//! A look into the archive that a workbook is, before its parts are unpacked into memory: how large they
//! really are, not what they say of themselves.

use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

use zip::ZipArchive;
use zip::result::ZipError;

use super::Trouble;
use crate::check::Finding;
use crate::check::plan_rules::{encoding, too_large};
use crate::place::Origin;
use crate::read::limits;

/// Bytes unpacked at a time.
const PIECE: usize = 1 << 16;
/// What stands before the number of texts that sheets share.
const COUNT: &[u8] = b"uniqueCount";

/// Unpacks every part once, keeping nothing.
///
/// # Errors
/// The archive is damaged, a part or all parts are too large, or a part counts more texts than it can hold.
pub(super) fn look(file: &mut File, name: &str, at: Origin) -> Result<(), Trouble> {
    let damaged = |why: &dyn std::fmt::Display| -> Finding {
        let message = format!("`{name}` cannot be read as a workbook: {why}");
        encoding::RULE.hit(at, name, message).hint("save the sheet as CSV")
    };
    let large = |message: &str| -> Finding {
        too_large::RULE.hit(at, name, format!("`{name}` {message}")).hint("save the sheet as CSV")
    };
    let unread = |error: ZipError| -> Finding { damaged(&error) };
    let mut archive = ZipArchive::new(BufReader::new(file)).map_err(unread)?;
    let mut total = 0;
    for index in 0..archive.len() {
        let mut part = archive.by_index(index).map_err(unread)?;
        if !part.name().is_ok_and(|name| is_markup(&name)) {
            continue;
        }
        let mut seen = Part::default();
        let mut piece = vec![0; PIECE];
        loop {
            let count = part.read(&mut piece).map_err(|error| damaged(&error))?;
            if count == 0 {
                break;
            }
            seen.take(&piece[..count]);
            if total + seen.bytes > limits::WORKBOOK_UNPACKED {
                let most = limits::WORKBOOK_UNPACKED / 1_000_000;
                return Err(
                    large(&format!("unpacks to more than {most} MB, the most that is read")).into()
                );
            }
            if seen.longest_text > limits::RECORD_BYTES {
                let most = limits::RECORD_BYTES / 1_000;
                return Err(large(&format!("has a cell of more than {most} kB")).into());
            }
        }
        if seen.most_counted > seen.bytes {
            return Err(damaged(&"it counts more texts than it holds").into());
        }
        total += seen.bytes;
    }
    Ok(())
}

/// Pictures and the like are not read.
fn is_markup(name: &str) -> bool {
    let ending = Path::new(name).extension().unwrap_or_default();
    ["xml", "rels", "vml"].iter().any(|known| ending.eq_ignore_ascii_case(known))
}

/// What was seen of a part.
#[derive(Default)]
struct Part {
    bytes: u64,
    /// Bytes since the last `<`, or since a text in pieces was begun, and the most that there were.
    text: usize,
    longest_text: usize,
    /// Within a text that may come in pieces of different dress, which make one cell.
    in_pieces: bool,
    /// The greatest number of texts that it says to hold.
    most_counted: u64,
    /// What is not looked at yet: a tag whose name may go on in the next piece.
    carried: Vec<u8>,
    /// The end of the last piece: a number may lie across the border.
    tail: Vec<u8>,
}

impl Part {
    fn take(&mut self, piece: &[u8]) {
        const BORDER: usize = 64;
        self.bytes += piece.len() as u64;
        let mut unseen = std::mem::take(&mut self.carried);
        unseen.extend_from_slice(piece);
        let near_end = unseen.len().saturating_sub(BORDER);
        let cut = memchr::memrchr(b'<', &unseen[near_end..]).map_or(unseen.len(), |at| near_end + at);
        let mut from = 0;
        for mark in memchr::memchr_iter(b'<', &unseen[..cut]) {
            self.longest_text = self.longest_text.max(self.text + mark - from);
            let tag = Tag::of(&unseen[mark + 1..]);
            if !self.in_pieces || tag != Tag::Other {
                self.text = 0;
            } else {
                self.text += mark - from;
            }
            self.in_pieces = tag == Tag::Begins || self.in_pieces && tag == Tag::Other;
            from = mark;
        }
        self.text += cut - from;
        self.longest_text = self.longest_text.max(self.text);
        self.carried = unseen[cut..].to_vec();
        let mut across = std::mem::take(&mut self.tail);
        across.extend_from_slice(&piece[..piece.len().min(BORDER)]);
        for bytes in [across.as_slice(), piece] {
            for found in memchr::memmem::find_iter(bytes, COUNT) {
                self.most_counted = self.most_counted.max(number(&bytes[found + COUNT.len()..]));
            }
        }
        self.tail = piece[piece.len().saturating_sub(BORDER)..].to_vec();
    }
}

/// What a tag is to the text of a cell.
#[derive(PartialEq)]
enum Tag {
    /// A text in pieces begins: a shared one or one in its cell (ECMA-376 part 1, 18.4.8 and 18.3.1.53).
    Begins,
    /// It ends.
    Ends,
    Other,
}

impl Tag {
    /// The tag of which this is what follows the `<`.
    fn of(bytes: &[u8]) -> Self {
        let is_close = bytes.first() == Some(&b'/');
        let name = &bytes[usize::from(is_close)..];
        let of_name =
            |byte: &u8| byte.is_ascii_alphanumeric() || matches!(byte, b':' | b'_' | b'-' | b'.');
        let (name, rest) =
            name.split_at(name.iter().position(|byte| !of_name(byte)).unwrap_or(name.len()));
        match name.rsplit(|byte| *byte == b':').next() {
            Some(b"si" | b"is") if is_close || rest.trim_ascii_start().starts_with(b"/") => Self::Ends,
            Some(b"si" | b"is") => Self::Begins,
            _ => Self::Other,
        }
    }
}

/// The number behind the name of an attribute.
fn number(bytes: &[u8]) -> u64 {
    let between = |byte: &&u8| matches!(byte, b' ' | b'=' | b'"' | b'\'' | b'\t' | b'\n' | b'\r' | b'+');
    let from = bytes.iter().take_while(between).count();
    let digits = bytes[from..].iter().take_while(|byte| byte.is_ascii_digit());
    digits.fold(0_u64, |number, digit| number.saturating_mul(10).saturating_add(u64::from(digit - b'0')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_count_is_found_across_the_border_of_two_pieces() {
        let whole = br#"<sst uniqueCount = "123456789012">"#;
        for cut in 0..whole.len() {
            let mut part = Part::default();
            part.take(&whole[..cut]);
            part.take(&whole[cut..]);
            assert_eq!(part.most_counted, 123_456_789_012, "cut at {cut}");
        }
    }

    fn longest(text: &[u8], cut: usize) -> usize {
        let mut part = Part::default();
        part.take(&text[..cut]);
        part.take(&text[cut..]);
        part.take(b"<end>");
        part.take(b"");
        part.longest_text
    }

    /// Wherever pieces are cut, tags inside a shared text part it into no smaller ones, and all others do.
    #[test]
    fn the_longest_text_is_measured_over_pieces() {
        for (text, most) in [
            ("<a>xxyy</a><b>", "<a>xxyy".len()),
            ("<x:si><r><t>1234</t></r><r><t>5678</t></r></x:si><c>", 42),
            ("<is a='1'><t>1234</t><zz/><t>5678</t></is><v>1</v>", 37),
            ("<si/><t>1234</t><t>5678</t><t>", "<t>1234".len()),
            ("<sitting><t>1234</t><t>56</t>", "<sitting>".len()),
        ] {
            for cut in 0..text.len() {
                assert_eq!(longest(text.as_bytes(), cut), most, "{text} cut at {cut}");
            }
        }
    }
}
