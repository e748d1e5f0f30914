//! Aligned tables for people.

use comfy_table::{Cell, CellAlignment, ContentArrangement, Table, presets};

use super::paint::Paint;
use crate::budget::Verdict;

/// Which side a column's cells lean to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lean {
    /// Words.
    Left,
    /// Numbers.
    Right,
}

/// Draws rows under heads, columns two blanks apart. Cells that hold control characters or long runs
/// are made harmless first: an id comes from a file that anybody may have written.
pub fn grid(heads: &[(&str, Lean)], rows: &[Vec<String>], paint: Paint) -> String {
    grid_with_verdicts(heads, rows, &[], paint)
}

/// The same, with the verdict that ends each row in its color.
pub fn grid_with_verdicts(
    heads: &[(&str, Lean)],
    rows: &[Vec<String>],
    verdicts: &[Verdict],
    paint: Paint,
) -> String {
    let mut table = Table::new();
    table.load_style(presets::NOTHING).set_content_arrangement(ContentArrangement::Disabled);
    let cell = |text: &str, lean: Lean| {
        let align = if lean == Lean::Left { CellAlignment::Left } else { CellAlignment::Right };
        Cell::new(text).set_alignment(align)
    };
    table.add_row(heads.iter().map(|(head, lean)| cell(head, *lean)));
    for row in rows {
        let leans = heads.iter().map(|(_, lean)| *lean);
        table.add_row(row.iter().zip(leans).map(|(text, lean)| cell(&harmless(text), lean)));
    }
    for column in table.column_iter_mut() {
        column.set_padding((0, 2));
    }
    let drawn = table.to_string();
    let mut lines = drawn.lines().map(str::trim_end);
    let head = lines.next().unwrap_or_default();
    let mut text = format!("{}\n", paint.strong(head));
    for (index, line) in lines.enumerate() {
        match verdicts.get(index).and_then(|verdict| Some((*verdict, word_in(line, verdict.word())?))) {
            Some((verdict, at)) => {
                text.push_str(&line[..at]);
                text.push_str(&paint.verdict(verdict, verdict.word()));
                text.push_str(&line[at + verdict.word().len()..]);
            }
            None => text.push_str(line),
        }
        text.push('\n');
    }
    text
}

/// Text without control characters and direction marks, cut where it would burst the table.
pub fn harmless(text: &str) -> String {
    const LONGEST: usize = 80;
    visible(text, LONGEST)
}

/// Whether a terminal obeys a character instead of showing it: control characters, direction marks.
fn hidden(c: char) -> bool {
    c.is_control()
        || matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}')
}

/// Text of any length and of many lines with a mark in place of every other control character and of
/// every direction mark.
pub(crate) fn visible_lines(text: &str) -> String {
    text.chars().map(|c| if hidden(c) && c != '\n' { '\u{fffd}' } else { c }).collect()
}

/// Text with a mark in place of every control character and direction mark, cut behind `longest`
/// characters.
pub(crate) fn visible(text: &str, longest: usize) -> String {
    let mut clean: String =
        text.chars().take(longest).map(|c| if hidden(c) { '\u{fffd}' } else { c }).collect();
    if text.chars().nth(longest).is_some() {
        clean.push('…');
    }
    clean
}

/// Breaks text into lines of at most `width` characters, each after the first indented.
pub fn wrapped(text: &str, width: usize, indent: &str) -> String {
    let mut out = String::new();
    let mut used = 0;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if used > 0 && used + 1 + length > width {
            out.push('\n');
            out.push_str(indent);
            used = 0;
        } else if used > 0 {
            out.push(' ');
            used += 1;
        }
        out.push_str(word);
        used += length;
    }
    out
}

/// `1,234,567`.
pub fn thousands(number: u64) -> String {
    let digits = number.to_string();
    let mut text = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// Where a word stands by itself in a line, the last time that it does.
fn word_in(line: &str, word: &str) -> Option<usize> {
    let alone = |at: usize| {
        let (before, after) = (&line[..at], &line[at + word.len()..]);
        (before.is_empty() || before.ends_with(' ')) && (after.is_empty() || after.starts_with(' '))
    };
    line.rmatch_indices(word).map(|(at, _)| at).find(|at| alone(*at))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_lean_right_and_marks_are_shown() {
        let heads = [("id", Lean::Left), ("dB", Lean::Right)];
        let rows = [
            vec!["a\u{202e}b".to_string(), "1.00".to_string()],
            vec!["c".to_string(), "12.50".to_string()],
        ];
        let text = grid(&heads, &rows, Paint::default());
        assert_eq!(text, "id      dB\na\u{fffd}b   1.00\nc    12.50\n");
    }

    #[test]
    fn long_text_wraps() {
        assert_eq!(wrapped("one two three four", 9, "  "), "one two\n  three\n  four");
    }
}
