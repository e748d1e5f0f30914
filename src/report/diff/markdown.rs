//! The face for change requests: Markdown tables.

use std::fmt::Write as _;
use std::io::{self, Write};

use super::table::{reissue, sections, summary};
use super::{Difference, State};
use crate::report::cautions;
use crate::report::grid::{Lean, visible};

/// Writes the difference.
///
/// # Errors
/// Whatever the writer says.
pub fn write(difference: &Difference, out: &mut impl Write) -> io::Result<()> {
    let mut text = format!("# {}\n\n", escaped(&difference.new.title));
    for (head, state) in [("Old", &difference.old), ("New", &difference.new)] {
        let _ = writeln!(text, "- {head}: {}", state_words(state));
    }
    let _ = writeln!(text, "- {}\n- {}", summary(difference), escaped(&reissue(difference)));
    for (title, columns, rows, left) in sections(difference) {
        let mut capital = title.to_string();
        if let Some(first) = capital.get_mut(..1) {
            first.make_ascii_uppercase();
        }
        let _ = writeln!(text, "\n## {capital}\n");
        let heads: Vec<&str> = columns.iter().map(|(head, _)| *head).collect();
        let lines: Vec<&str> =
            columns.iter().map(|(_, lean)| if *lean == Lean::Right { "---:" } else { "---" }).collect();
        let _ = writeln!(text, "| {} |\n| {} |", heads.join(" | "), lines.join(" | "));
        for row in rows {
            let cells: Vec<String> = row.iter().map(|cell| escaped(cell)).collect();
            let _ = writeln!(text, "| {} |", cells.join(" | "));
        }
        if left > 0 {
            let _ = writeln!(text, "\nand {left} more.");
        }
    }
    let _ = writeln!(text, "\n{}\n{}", cautions::LIGHT, cautions::SHELF);
    out.write_all(text.as_bytes())
}

fn state_words(state: &State) -> String {
    let revision = if state.revision.is_empty() { "not stated" } else { &state.revision };
    let verdict = state.verdict.unwrap_or("no ends");
    format!("revision {}, plan `{}`, verdict **{verdict}**", escaped(revision), state.plan_sha256)
}

/// Text that neither ends a cell nor is taken for markup.
fn escaped(text: &str) -> String {
    const LONGEST: usize = 200;
    let mut out = String::new();
    for c in visible(text, LONGEST).chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '|' | '*' | '_' | '`' | '[' | ']' | '\\' | '#' => {
                out.push('\\');
                out.push(c);
            }
            _ => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_taken_for_markup() {
        assert_eq!(escaped("a|b <i>*c*</i>"), "a\\|b &lt;i&gt;\\*c\\*&lt;/i&gt;");
    }
}
