//! A dump in text, line by line.

use super::line::{Line, Word, digits, is_group, read};
use crate::check::Finding;
use crate::check::memory_rules::bad_dump;
use crate::fit::memory::{BLOCK_BYTES, Block, Image};
use crate::place::{FileId, Origin};

/// Bytes of a line where no offset has told otherwise yet.
const USUAL_WIDTH: usize = 16;
/// What to do with words that are meant as words.
const REMARK: &str = "if it is a remark, put `#` in front of the line";
/// Findings after which a text is given up.
const MOST_FINDINGS: usize = 100;

/// Reads a text.
pub(super) fn parse(text: &str, file: FileId) -> Result<Image, Vec<Finding>> {
    let lines: Vec<(Place<'_>, Line<'_>)> =
        places(text, file).into_iter().map(|place| (place, read(place.text))).collect();
    let radix = radix(&lines);
    let has_offsets = lines.iter().any(|(_, line)| value(line, radix).is_some());
    let mut reader = Reader { file, radix, has_offsets, ..Reader::default() };
    let mut usual = USUAL_WIDTH;
    for (index, (place, line)) in lines.iter().enumerate() {
        usual = width(&lines[index..], radix).unwrap_or(usual);
        reader.line(*place, line, usual);
        if reader.findings.len() >= MOST_FINDINGS {
            break;
        }
    }
    reader.finish()
}

/// A line and where it stands.
#[derive(Debug, Clone, Copy)]
struct Place<'t> {
    text: &'t str,
    file: FileId,
    number: u32,
    start: usize,
}

fn places(text: &str, file: FileId) -> Vec<Place<'_>> {
    let mut start = 0;
    let lines = text.split('\n').zip(1..).map(|(line, number)| {
        let place = Place { text: line.trim_end_matches('\r'), file, number, start };
        start += line.len() + 1;
        place
    });
    lines.collect()
}

impl Place<'_> {
    fn origin(self, word: Word<'_>) -> Origin {
        Origin {
            file: self.file,
            line: self.number,
            column: self.text[..word.start].chars().count() as u32 + 1,
            start: (self.start + word.start) as u32,
            length: word.text.len() as u32,
        }
    }
}

/// The offset of a line in a radix.
fn value(line: &Line<'_>, radix: u32) -> Option<u32> {
    let Line::Bytes { offset: Some(offset), .. } = line else { return None };
    u32::from_str_radix(offset.text, radix).ok()
}

/// Whether offsets are hexadecimal or decimal: in which they step by whole lines more often.
fn radix(lines: &[(Place<'_>, Line<'_>)]) -> u32 {
    let steps = |radix: u32| {
        let values: Vec<u32> = lines.iter().filter_map(|(_, line)| value(line, radix)).collect();
        values.windows(2).filter(|pair| matches!(pair[1].wrapping_sub(pair[0]), 8 | 16 | 32)).count()
    };
    if steps(10) > steps(16) { 10 } else { 16 }
}

/// Bytes that the first of these lines holds: up to the next offset, if that is near enough.
fn width(lines: &[(Place<'_>, Line<'_>)], radix: u32) -> Option<usize> {
    const WIDEST: u32 = 64;
    let here = lines.first().and_then(|(_, line)| value(line, radix));
    let next = lines.get(1).and_then(|(_, line)| value(line, radix));
    let step = here.zip(next).and_then(|(here, next)| next.checked_sub(here));
    step.filter(|step| (1..=WIDEST).contains(step)).map(|step| step as usize)
}

/// A run of bytes and the blocks a heading gave it.
#[derive(Debug, Default)]
struct Section {
    blocks: Vec<Block>,
    bytes: Vec<u8>,
    /// What to take off an offset to get an index of `bytes`; wraps where a page starts at 128.
    base: Option<u32>,
}

#[derive(Debug)]
struct Reader {
    file: FileId,
    radix: u32,
    /// Whether any line has an offset: then all must.
    has_offsets: bool,
    sections: Vec<Section>,
    current: Section,
    last_line: Vec<u8>,
    repeat: bool,
    findings: Vec<Finding>,
}

impl Default for Reader {
    fn default() -> Self {
        Self {
            file: FileId::COMMAND_LINE,
            radix: 16,
            has_offsets: false,
            sections: Vec::new(),
            current: Section::default(),
            last_line: Vec::new(),
            repeat: false,
            findings: Vec::new(),
        }
    }
}

impl Reader {
    fn line(&mut self, place: Place<'_>, line: &Line<'_>, width: usize) {
        match line {
            Line::Empty => {}
            Line::Repeat => self.repeat = true,
            Line::Section(blocks) => {
                let next = Section { blocks: blocks.clone(), ..Section::default() };
                let done = std::mem::replace(&mut self.current, next);
                self.sections.push(done);
            }
            Line::Bytes { offset: Some(offset), groups } => {
                self.offset(place, *offset);
                self.bytes(place, groups, width);
            }
            // The last offset of a dump stands alone, and looks like four bytes.
            Line::Bytes { offset: None, groups } if self.current.base.is_some() && groups.len() == 1 => {
                self.offset(place, groups[0]);
            }
            Line::Bytes { offset: None, groups } if self.has_offsets => {
                self.without_offset(place, groups);
            }
            Line::Bytes { offset: None, groups } => self.plain(place, groups),
            // What stands above the first byte of a section is a heading.
            Line::Other(_) if self.current.bytes.is_empty() => {}
            Line::Other(word) => {
                self.fault(place, *word, format!("`{}` is not a byte in hex", clip(word.text)), REMARK);
            }
        }
    }

    fn fault(&mut self, place: Place<'_>, word: Word<'_>, message: String, hint: &str) {
        self.findings.push(bad_dump::RULE.hit(place.origin(word), "", message).hint(hint));
    }

    /// Holds an offset against the bytes that stand before it.
    fn offset(&mut self, place: Place<'_>, word: Word<'_>) {
        let repeat = std::mem::take(&mut self.repeat);
        let Ok(offset) = u32::from_str_radix(word.text, self.radix) else {
            let message = format!("`{}` is not an offset", clip(word.text));
            return self.fault(place, word, message, "");
        };
        let held = self.current.bytes.len() as u32;
        let base = *self.current.base.get_or_insert_with(|| offset.wrapping_sub(held));
        let expected = base.wrapping_add(held);
        if offset == expected {
            return;
        }
        let gap = offset.wrapping_sub(expected) as usize;
        if repeat && self.fill(gap) {
            return;
        }
        // A second page or address counts from its own start again.
        let restarts = matches!(offset, 0 | 128) && held.is_multiple_of(BLOCK_BYTES as u32);
        self.current.base = Some(offset.wrapping_sub(held));
        if !restarts {
            let message = format!(
                "the offset {offset} (0x{offset:02X}) stands here, but {expected} (0x{expected:02X}) comes next"
            );
            self.fault(place, word, message, "bytes were lost or doubled before this line");
        }
    }

    /// Repeats the last line over a gap; `false` where it does not fit in it.
    fn fill(&mut self, gap: usize) -> bool {
        const MOST: usize = 1 << 16;
        let length = self.last_line.len();
        if length == 0 || gap > MOST || !gap.is_multiple_of(length) {
            return false;
        }
        for _ in 0..gap / length {
            self.current.bytes.extend_from_slice(&self.last_line);
        }
        true
    }

    /// The bytes behind an offset; what stands behind `width` of them is text.
    fn bytes(&mut self, place: Place<'_>, groups: &[Word<'_>], width: usize) {
        let mut line = Vec::new();
        for word in groups {
            if line.len() >= width {
                break;
            }
            if is_group(word.text) {
                line.extend(hex(word.text));
                continue;
            }
            let text = clip(word.text);
            let hint = "dump the module again; what cannot be read is not to be guessed";
            self.fault(place, *word, format!("`{text}` is not a byte in hex"), hint);
            break;
        }
        line.truncate(width);
        self.current.bytes.extend_from_slice(&line);
        self.last_line = line;
    }

    /// A line without an offset among lines with one: a row of column numbers, or a fault.
    fn without_offset(&mut self, place: Place<'_>, groups: &[Word<'_>]) {
        let counts = groups
            .iter()
            .zip(0u8..)
            .all(|(word, number)| u8::from_str_radix(word.text, 16).is_ok_and(|value| value == number));
        let is_heading = self.current.bytes.is_empty() && counts;
        if let (Some(first), false) = (groups.first(), is_heading) {
            let message = "this line has no offset, and others have".to_string();
            self.fault(place, *first, message, REMARK);
        }
    }

    /// Bytes without an offset: all groups of a line are as long as the first, but for the last.
    fn plain(&mut self, place: Place<'_>, groups: &[Word<'_>]) {
        let length = groups.first().map_or(0, |word| digits(word.text).len());
        for (index, word) in groups.iter().enumerate() {
            let own = digits(word.text).len();
            let text = clip(word.text);
            if !is_group(word.text) {
                self.fault(place, *word, format!("`{text}` is not a byte in hex"), REMARK);
                return;
            }
            if own > length || (own < length && index + 1 < groups.len()) {
                let hint = "if the first number is an offset, the others are words of two bytes, whose \
                            order hangs on the machine: dump again, one byte a group";
                self.fault(
                    place,
                    *word,
                    format!("`{text}` is not as long as the numbers before it"),
                    hint,
                );
                return;
            }
            self.current.bytes.extend(hex(word.text));
        }
    }

    fn finish(mut self) -> Result<Image, Vec<Finding>> {
        self.sections.push(std::mem::take(&mut self.current));
        self.sections.retain(|section| !section.bytes.is_empty());
        if self.findings.is_empty() && self.sections.is_empty() {
            let message = "the text holds no byte in hex";
            self.findings.push(bad_dump::RULE.hit(Origin::whole(self.file), "", message));
        }
        if !self.findings.is_empty() {
            return Err(self.findings);
        }
        let named = self.sections.iter().any(|section| !section.blocks.is_empty());
        Ok(if named {
            of_sections(&self.sections)
        } else {
            Image::in_usual_order(&self.sections[0].bytes)
        })
    }
}

/// An image of sections under headings. Bytes above the first heading have no name.
fn of_sections(sections: &[Section]) -> Image {
    let mut blocks = Vec::new();
    let mut left_over = 0;
    for section in sections {
        // A page of address A2h that is shown by itself.
        let alone = section.bytes.len() <= BLOCK_BYTES && section.blocks.len() == 2;
        let names = match section.blocks.as_slice() {
            [Block::SecondLower, page @ Block::SecondUpper(1..)] if alone => std::slice::from_ref(page),
            // A page shown with the lower memory in front of it.
            [page @ Block::Upper(_)] if section.bytes.len() == 2 * BLOCK_BYTES => {
                &[Block::Lower, *page][..]
            }
            names => names,
        };
        let chunks = section.bytes.chunks(BLOCK_BYTES);
        blocks.extend(names.iter().copied().zip(chunks.map(<[u8]>::to_vec)));
        left_over += section.bytes.len().saturating_sub(names.len() * BLOCK_BYTES);
    }
    let mut image = Image::of_blocks(blocks);
    image.left_over += left_over;
    image
}

/// The bytes of a group that [`is_group`] has passed.
fn hex(group: &str) -> impl Iterator<Item = u8> + '_ {
    let digit = |byte: u8| char::from(byte).to_digit(16).unwrap_or(0) as u8;
    digits(group).as_bytes().chunks_exact(2).map(move |pair| digit(pair[0]) << 4 | digit(pair[1]))
}

/// Long words are cut in messages.
fn clip(text: &str) -> String {
    text.chars().take(20).collect()
}
