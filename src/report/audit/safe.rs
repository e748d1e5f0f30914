//! Text cells that a spreadsheet would take for a formula, or that a terminal would obey, are made plain text.

use std::borrow::Cow;

use crate::report::grid::visible_lines;

/// The text with an apostrophe before it where a spreadsheet would compute it: `=`, `+`, `-`, `@`, a
/// tab or a carriage return in front; with a mark in place of every control character but a line end and
/// a tab.
pub fn text(cell: &str) -> Cow<'_, str> {
    if cell.contains(|c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r')) {
        let shown = cell.split('\t').map(visible_lines).collect::<Vec<_>>().join("\t");
        return Cow::Owned(text(&shown).into_owned());
    }
    match cell.chars().next() {
        Some('=' | '+' | '-' | '@' | '\t' | '\r') => Cow::Owned(format!("'{cell}")),
        _ => Cow::Borrowed(cell),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_become_text() {
        assert_eq!(text("=1+1"), "'=1+1");
        assert_eq!(text("-7"), "'-7");
        assert_eq!(text("@SUM(A1)"), "'@SUM(A1)");
        assert_eq!(text("1/1/3"), "1/1/3");
        assert_eq!(text(""), "");
    }

    #[test]
    fn no_terminal_is_told_what_to_do() {
        assert_eq!(text("a\u{1b}[31m\u{9b}2J\tb\nc"), "a\u{fffd}[31m\u{fffd}2J\tb\nc");
        assert_eq!(text("=\u{7}1"), "'=\u{fffd}1");
    }
}
