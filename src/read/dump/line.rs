//! One line of a dump in text.

use crate::fit::memory::Block;

/// A word of a line with where it starts, in bytes of the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Word<'t> {
    pub text: &'t str,
    pub start: usize,
}

/// What a line is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Line<'t> {
    /// Nothing, or a remark behind `#`.
    Empty,
    /// `*`: the line before, repeated up to the next offset.
    Repeat,
    /// Names the blocks that follow.
    Section(Vec<Block>),
    /// Bytes, with the offset in front if the line has one.
    Bytes {
        /// The offset as written, without marks.
        offset: Option<Word<'t>>,
        /// The words behind it, text at the end of the line among them.
        groups: Vec<Word<'t>>,
    },
    /// Anything else.
    Other(Word<'t>),
}

/// Tells what a line is.
pub(super) fn read(line: &str) -> Line<'_> {
    // Behind a bar stands the same as characters.
    let words = words(line.split('|').next().unwrap_or_default());
    let Some(first) = words.first().copied() else { return Line::Empty };
    if first.text.starts_with('#') {
        return Line::Empty;
    }
    if first.text == "*" && words.len() == 1 {
        return Line::Repeat;
    }
    if let Some(blocks) = section(line) {
        return Line::Section(blocks);
    }
    if let Some(offset) = offset(&words) {
        return Line::Bytes { offset: Some(offset), groups: words[1..].to_vec() };
    }
    // A line of bytes with one digit lost in it must not pass for a heading.
    let bytes = words.iter().filter(|word| is_group(word.text)).count();
    if is_group(first.text) || 2 * bytes >= words.len() {
        return Line::Bytes { offset: None, groups: words };
    }
    Line::Other(first)
}

/// Words parted by blanks or commas.
fn words(line: &str) -> Vec<Word<'_>> {
    let parts = |c: char| c.is_whitespace() || c == ',';
    let mut words = Vec::new();
    let mut at = 0;
    for text in line.split(parts) {
        if !text.is_empty() {
            words.push(Word { text, start: at });
        }
        // Every separator is one character; its length in bytes is read off the line.
        let behind = at + text.len();
        at = behind + line[behind..].chars().next().map_or(0, char::len_utf8);
    }
    words
}

/// A word without `0x` in front.
pub(super) fn digits(word: &str) -> &str {
    word.strip_prefix("0x").or_else(|| word.strip_prefix("0X")).unwrap_or(word)
}

fn is_hex(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_hexdigit())
}

/// Whether a word is whole bytes in hex.
pub(super) fn is_group(word: &str) -> bool {
    let digits = digits(word);
    is_hex(digits) && digits.len().is_multiple_of(2)
}

/// The offset in front of a line: digits and a colon, or three to eight digits before single bytes.
fn offset<'t>(words: &[Word<'t>]) -> Option<Word<'t>> {
    let first = words.first()?;
    let body = digits(first.text.strip_suffix(':').unwrap_or(first.text));
    let start = first.start + (first.text.find(body).unwrap_or(0));
    let found = Word { text: body, start };
    if !is_hex(body) || body.len() > 8 {
        return None;
    }
    let single = words.get(1).is_some_and(|word| digits(word.text).len() == 2 && is_group(word.text));
    let plain = single && (3..=8).contains(&body.len());
    (first.text.ends_with(':') || plain).then_some(found)
}

/// The blocks that a heading names: `A0h`, `A2h`, `lower`, `page 11h`, or several of them.
fn section(line: &str) -> Option<Vec<Block>> {
    let lower = line.to_ascii_lowercase();
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty()).collect();
    let has = |wanted: &str| words.contains(&wanted);
    let page =
        words.iter().position(|word| *word == "page").and_then(|at| page_number(words.get(at + 1)?));
    let blocks = match (has("a2h"), has("a0h") || has("lower"), page) {
        (true, _, page) => vec![Block::SecondLower, Block::SecondUpper(page.unwrap_or(0))],
        (false, true, Some(page)) => vec![Block::Lower, Block::Upper(page)],
        (false, true, None) if has("a0h") => vec![Block::Lower, Block::Upper(0)],
        (false, true, None) => vec![Block::Lower],
        (false, false, Some(page)) => vec![Block::Upper(page)],
        (false, false, None) => return None,
    };
    Some(blocks)
}

/// Page numbers are written in hex: `11h`, `0x11`, `11`.
fn page_number(word: &&str) -> Option<u8> {
    let digits = digits(word);
    u8::from_str_radix(digits.strip_suffix('h').unwrap_or(digits), 16).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn texts(line: &str) -> (Option<&str>, Vec<&str>) {
        match read(line) {
            Line::Bytes { offset, groups } => {
                (offset.map(|word| word.text), groups.iter().map(|word| word.text).collect())
            }
            other => panic!("{line}: {other:?}"),
        }
    }

    #[test]
    fn lines_of_many_tools_are_told_apart() {
        assert_eq!(texts("03 04 07"), (None, vec!["03", "04", "07"]));
        assert_eq!(texts("0x03, 0x04,"), (None, vec!["0x03", "0x04"]));
        assert_eq!(texts("0x0010:\t45 58"), (Some("0010"), vec!["45", "58"]));
        assert_eq!(texts("00000010  45 58  |EX|"), (Some("00000010"), vec!["45", "58"]));
        assert_eq!(texts("00: 03 04    ??"), (Some("00"), vec!["03", "04", "??"]));
        assert_eq!(texts("00000000: 0304 0700"), (Some("00000000"), vec!["0304", "0700"]));
        assert_eq!(texts("030407"), (None, vec!["030407"]));
        assert_eq!(read("  # a remark"), Line::Empty);
        assert_eq!(read("*"), Line::Repeat);
        assert_eq!(texts("0g 04 07"), (None, vec!["0g", "04", "07"]));
        assert!(matches!(read("     0  1  2  3    0123456789abcdef"), Line::Other(_)));
        assert!(matches!(read("Offset  Values"), Line::Other(Word { text: "Offset", start: 0 })));
    }

    #[test]
    fn headings_name_blocks() {
        use Block::{Lower, SecondLower, SecondUpper, Upper};
        let blocks = |line| match read(line) {
            Line::Section(blocks) => blocks,
            other => panic!("{line}: {other:?}"),
        };
        assert_eq!(blocks("A0h"), [Lower, Upper(0)]);
        assert_eq!(blocks("== A2h page 02h =="), [SecondLower, SecondUpper(2)]);
        assert_eq!(blocks("lower 0-127 and page 00h 128-255"), [Lower, Upper(0)]);
        assert_eq!(blocks("Page 0x11:"), [Upper(0x11)]);
        assert_eq!(blocks("[lower memory]"), [Lower]);
    }
}
