//! Findings for people: what is wrong, the line it stands in with the place marked, what to do.

use std::fmt::Write as _;

use annotate_snippets::{
    AnnotationKind, Group, Level, Origin as Head, Renderer, Snippet, normalize_untrusted_str,
};
use rustc_hash::FxHashMap;

use crate::check::{Finding, Severity};
use crate::place::{FileId, Origin};
use crate::read::sources::Sources;
use crate::report::grid::{thousands, visible_lines};

/// Findings of one rule that are drawn; the rest are counted in one line.
const DRAWN: usize = 50;
/// Bytes of a line up to which it is given to the drawing whole.
const WHOLE: usize = 1_000;
/// Bytes shown of a longer line on either side of the place.
const AROUND: usize = 60;
/// Bytes shown of the place itself.
const MARKED: usize = 80;

/// Draws findings in the order given, with a blank line between two.
pub fn render(findings: &[Finding], sources: &Sources, color: bool) -> String {
    let renderer = if color { Renderer::styled() } else { Renderer::plain() };
    let mut drawn: FxHashMap<&str, usize> = FxHashMap::default();
    let mut text = String::new();
    for finding in findings {
        let count = drawn.entry(finding.rule.id).or_default();
        *count += 1;
        if *count <= DRAWN {
            text.push_str(&renderer.render(&[group(finding, sources, *count == 1)]));
            text.push_str("\n\n");
        }
    }
    let mut rest: Vec<_> = drawn.into_iter().filter(|(_, count)| *count > DRAWN).collect();
    rest.sort_unstable();
    for (rule, count) in rest {
        // Writing to a String does not fail.
        let _ = writeln!(text, "and {} more of {rule}\n", thousands((count - DRAWN) as u64));
    }
    if color { text.chars().map(of_one_character).collect() } else { visible_lines(&text) }
}

/// A mark in place of a control character that commands a terminal without ESC, the sign that colors need.
fn of_one_character(c: char) -> char {
    if c.is_control() && !matches!(c, '\n' | '\u{1b}') { '\u{fffd}' } else { c }
}

/// The name of a file; it may hold anything but a zero byte.
fn shown_name(file: FileId, sources: &Sources) -> String {
    visible_lines(sources.files().name(file)).replace('\n', "\u{fffd}")
}

/// One finding. The remedy, which is the same for all findings of a rule, is told with the first.
fn group<'a>(finding: &'a Finding, sources: &'a Sources, first: bool) -> Group<'a> {
    let level = match finding.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let mut group = Group::with_title(level.primary_title(&finding.message).id(finding.rule.id));
    group = match cut(finding.origin, sources) {
        Some(cut) => {
            let mark = AnnotationKind::Primary.span(cut.from..cut.to);
            let line = finding.origin.line as usize;
            let snippet = Snippet::source(cut.text).line_start(line).annotation(mark);
            if cut.whole {
                group.element(snippet.path(shown_name(finding.origin.file, sources)))
            } else {
                // The column of what is shown is not that of the line.
                group.elements(head(finding.origin, sources)).element(snippet)
            }
        }
        None => group.elements(head(finding.origin, sources)),
    };
    if !finding.hint.is_empty() {
        group = group.element(Level::HELP.message(normalize_untrusted_str(&finding.hint)));
    }
    if first && finding.hint != finding.rule.remedy {
        group = group.element(Level::HELP.message(finding.rule.remedy));
    }
    group
}

/// `file:line:column`, as far as known.
fn head(origin: Origin, sources: &Sources) -> Option<Head<'static>> {
    if origin.file == FileId::COMMAND_LINE {
        return None;
    }
    let head = Head::path(shown_name(origin.file, sources));
    Some(match (origin.line, origin.column) {
        (0, _) => head,
        (line, 0) => head.line(line as usize),
        (line, column) => head.line(line as usize).char_column(column as usize),
    })
}

/// The part of a line that is shown, and which bytes of it are marked.
struct Cut {
    text: String,
    from: usize,
    to: usize,
    whole: bool,
}

fn cut(origin: Origin, sources: &Sources) -> Option<Cut> {
    let (line, start) = sources.line(origin)?;
    let (from, to) = marked(line, start, origin);
    if line.len() <= WHOLE {
        return Some(Cut { text: line.to_string(), from, to, whole: true });
    }
    let left = floor(line, from.saturating_sub(AROUND));
    let shown_to = floor(line, to.min(from + MARKED)).max(from);
    let right = floor(line, shown_to + AROUND);
    let (before, after) = (if left > 0 { "…" } else { "" }, if right < line.len() { "…" } else { "" });
    let shift = before.len();
    Some(Cut {
        text: format!("{before}{}{after}", &line[left..right]),
        from: from - left + shift,
        to: shown_to - left + shift,
        whole: false,
    })
}

/// The bytes of a line that an origin means: one character where it has no length, all that is
/// written where it has no column.
fn marked(line: &str, start: usize, origin: Origin) -> (usize, usize) {
    if origin.column == 0 {
        let from = line.len() - line.trim_start().len();
        return (from, line.trim_end().len().max(from));
    }
    let from = floor(line, (origin.start as usize).saturating_sub(start));
    let length = (origin.length as usize).max(1);
    let to = ceil(line, from.saturating_add(length));
    (from, to)
}

/// The boundary between characters at or before a byte.
fn floor(line: &str, mut byte: usize) -> usize {
    byte = byte.min(line.len());
    while !line.is_char_boundary(byte) {
        byte -= 1;
    }
    byte
}

/// The boundary between characters at or after a byte.
fn ceil(line: &str, mut byte: usize) -> usize {
    byte = byte.min(line.len());
    while !line.is_char_boundary(byte) {
        byte += 1;
    }
    byte
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::check::plan_rules::{empty, unknown_key};

    fn sources(text: &str) -> (Sources, FileId) {
        let mut sources = Sources::default();
        let file = sources.add("plan.yaml", text.to_string());
        (sources, file)
    }

    #[test]
    fn marks_the_place_and_tells_the_remedy_once() {
        let (sources, file) = sources("spanwright: 1\npanles: {}\n");
        let at = Origin { file, line: 2, column: 1, start: 14, length: 6 };
        let finding =
            unknown_key::RULE.hit(at, "", "`panles` means nothing here").hint("did you mean `panels`?");
        let text = render(&[finding.clone(), finding], &sources, false);
        assert!(text.contains("error[plan.unknown-key]: `panles` means nothing here"), "{text}");
        assert!(text.contains(" --> plan.yaml:2:1"), "{text}");
        assert!(text.contains("2 | panles: {}"), "{text}");
        assert!(text.contains("| ^^^^^^\n"), "{text}");
        assert_eq!(text.matches("did you mean `panels`?").count(), 2, "{text}");
        assert_eq!(text.matches(unknown_key::RULE.remedy).count(), 1, "{text}");
    }

    #[test]
    fn a_long_line_is_cut_around_the_place() {
        let long = format!("{}BAD{}", "ä".repeat(5_000_000), "x".repeat(1000));
        let (sources, file) = sources(&long);
        let at = Origin { file, line: 1, column: 5_000_001, start: 10_000_000, length: 3 };
        let text = render(&[unknown_key::RULE.hit(at, "", "here")], &sources, false);
        assert!(text.contains("plan.yaml:1:5000001"), "{text}");
        assert!(text.contains("…ää") && text.contains("äBADx") && text.contains("xx…"), "{text}");
        assert!(text.len() < 2_000, "{}", text.len());
    }

    #[test]
    fn a_file_without_a_line_is_named_alone() {
        let (sources, file) = sources("");
        let text = render(&[empty::RULE.hit(Origin::whole(file), "", "nothing")], &sources, false);
        assert!(text.contains("error[plan.empty]: nothing"), "{text}");
        assert!(text.contains("--> plan.yaml\n"), "{text}");
    }

    #[test]
    fn what_is_not_drawn_is_counted() {
        let (sources, file) = sources("a\nb\n");
        let finding = unknown_key::RULE.hit(Origin::line(file, 2), "", "no");
        let text = render(&vec![finding; 1_284], &sources, false);
        assert_eq!(text.matches("plan.yaml:2").count(), 50);
        assert!(text.ends_with("and 1,234 more of plan.unknown-key\n\n"), "{text}");
    }

    #[test]
    fn no_control_character_reaches_the_terminal() {
        let (sources, file) = sources("a\u{1b}[31mb\n");
        let at = Origin { file, line: 1, column: 2, start: 1, length: 5 };
        let finding = unknown_key::RULE.hit(at, "", "\u{1b}[31m").hint("\u{1b}[2J");
        assert!(!render(&[finding], &sources, false).contains('\u{1b}'));
    }

    #[test]
    fn no_name_of_a_file_is_taken_for_color() {
        let mut sources = Sources::default();
        let file = sources.add("a\u{1b}]0;b\u{9b}31m", "c\n".to_string());
        let finding = unknown_key::RULE.hit(Origin::line(file, 1), "", "d\u{9b}2J");
        let text = render(std::slice::from_ref(&finding), &sources, true);
        assert!(!text.contains("\u{1b}]") && !text.contains('\u{9b}'), "{text:?}");
        let plain = render(&[finding], &sources, false);
        assert!(!plain.contains(|c: char| c.is_control() && c != '\n'), "{plain:?}");
    }
}
