//! Text cells that a spreadsheet would take for a formula are made plain text.

use std::borrow::Cow;

/// The text with an apostrophe before it where a spreadsheet would compute it: `=`, `+`, `-`, `@`, a
/// tab or a carriage return in front.
pub fn text(cell: &str) -> Cow<'_, str> {
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
}
