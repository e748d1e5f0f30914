//! The face for people: what was read, how it stands, what to do first.

use std::io::{self, Write};

use super::{NotUsed, Summary};
use crate::check::Severity;
use crate::report::cautions;
use crate::report::grid::{Lean, grid, harmless, thousands, wrapped};
use crate::report::paint::Paint;
use crate::report::trust;

/// Sites that are shown.
const SITES: usize = 15;
/// Changes of far ends that are shown.
pub(super) const EDITS: usize = 10;
/// Findings that have gone that are shown.
const GONE: usize = 10;

/// Writes the summary.
///
/// # Errors
/// Whatever the writer says.
pub fn write(summary: &Summary, paint: Paint, width: usize, out: &mut impl Write) -> io::Result<()> {
    out.write_all(head(summary, paint).as_bytes())?;
    let parts = [
        by_rule(summary, paint),
        by_site(summary, paint),
        fixes(summary, paint, width),
        edits(summary, paint),
        since(summary, paint),
        turns(summary, paint),
        not_checked(summary, paint, width),
        caution(paint, width),
    ];
    for part in parts.iter().filter(|part| !part.is_empty()) {
        writeln!(out, "\n{}", part.trim_end())?;
    }
    Ok(())
}

fn counted(number: u64, one: &str) -> String {
    format!("{} {one}{}", thousands(number), if number == 1 { "" } else { "s" })
}

fn head(summary: &Summary, paint: Paint) -> String {
    let mut text = String::new();
    for (name, dress) in &summary.files {
        let dress = if dress.is_empty() { String::new() } else { format!(" ({dress})") };
        text.push_str(&paint.strong(&format!("{}{dress}", harmless(name))));
        text.push('\n');
    }
    for one in &summary.left_out {
        text.push_str(&format!("{} left out: {}\n", harmless(&one.name), one.why));
    }
    let [errors, warnings, notes] = summary.tally.by_severity();
    let mut line = |head: &str, words: String| text.push_str(&format!("{head:<10} {words}\n"));
    let left_out = match summary.skipped {
        0 => String::new(),
        n => format!("; {} without a port left out", counted(n, "line")),
    };
    let rows = if summary.rows == 0 {
        "none: no rows stand under the heads".to_string()
    } else {
        thousands(summary.rows)
    };
    line("rows", format!("{rows}{left_out}"));
    for (n, one) in summary.not_used.iter().enumerate() {
        let head = if n == 0 { "not used" } else { "" };
        line(head, not_used(one));
    }
    line(
        "findings",
        format!(
            "{}, {}, {}",
            counted(errors, "error"),
            counted(warnings, "warning"),
            counted(notes, "note")
        ),
    );
    let (accepted, expired) = (summary.tally.accepted, summary.tally.expired);
    let unmet = summary.tally.unmet;
    if accepted + expired + unmet > 0 {
        line(
            "accepted",
            format!(
                "{}; {} whose day has passed; {} that meet no finding",
                thousands(accepted),
                thousands(expired),
                thousands(unmet)
            ),
        );
    }
    line("matched", matched(summary));
    if !summary.date.is_empty() {
        line("date", summary.date.clone());
    }
    line("trust", trust::words(summary.trust));
    text
}

/// A head that is not used.
fn not_used(one: &NotUsed) -> String {
    format!(
        "head `{}` in cell {} of {}: `{}` is read as {} already",
        harmless(&one.head),
        one.cell,
        harmless(&one.file),
        harmless(&one.used),
        one.column
    )
}

/// Shares are rounded down: never 100 % when one is missing.
fn matched(summary: &Summary) -> String {
    let matched = summary.matched;
    if matched.naming == 0 {
        return "no row names a far end".to_string();
    }
    let share = matched.mutual * 1000 / matched.naming;
    let outside = match matched.outside {
        0 => String::new(),
        n => format!("; {} name sites that no file covers", thousands(n)),
    };
    format!(
        "{} of {} rows that name a far end are named back ({}.{} %){outside}",
        thousands(matched.mutual),
        thousands(matched.naming),
        share / 10,
        share % 10,
    )
}

fn titled(title: &str, body: &str, paint: Paint) -> String {
    format!("{}\n{body}", paint.strong(title))
}

fn by_rule(summary: &Summary, paint: Paint) -> String {
    let counts = summary.tally.by_rule();
    if counts.is_empty() {
        return String::new();
    }
    let heads = [
        ("severity", Lean::Left),
        ("rule", Lean::Left),
        ("findings", Lean::Right),
        ("finds", Lean::Left),
    ];
    let rows: Vec<Vec<String>> = counts
        .iter()
        .map(|count| {
            vec![
                count.severity.word().to_string(),
                count.rule.id.to_string(),
                thousands(count.count),
                count.rule.what.to_string(),
            ]
        })
        .collect();
    titled("by rule", &grid(&heads, &rows, paint), paint)
}

fn by_site(summary: &Summary, paint: Paint) -> String {
    let sites = summary.tally.by_site();
    if sites.is_empty() {
        return String::new();
    }
    let heads = [
        ("site", Lean::Left),
        ("errors", Lean::Right),
        ("warnings", Lean::Right),
        ("notes", Lean::Right),
    ];
    let rows: Vec<Vec<String>> = sites
        .iter()
        .take(SITES)
        .map(|site| {
            let name = if site.site.is_empty() { "(none)" } else { &site.site };
            let mut row = vec![name.to_string()];
            row.extend(site.counts.iter().map(|count| thousands(*count)));
            row
        })
        .collect();
    let mut text = titled("by site", &grid(&heads, &rows, paint), paint);
    if sites.len() > SITES {
        text.push_str(&format!("… and {}\n", counted((sites.len() - SITES) as u64, "more site")));
    }
    text
}

fn fixes(summary: &Summary, paint: Paint, width: usize) -> String {
    if summary.fixes.is_empty() {
        return String::new();
    }
    let mut text = String::new();
    for (n, fix) in summary.fixes.iter().enumerate() {
        let Some(first) = fix.findings.first() else { continue };
        let place = format!("{}:{}", harmless(&first.file), first.line);
        text.push_str(&format!("{:>2}. {}  {}\n", n + 1, harmless(&first.subject), paint.faint(&place)));
        for finding in fix.findings.iter().filter(|finding| finding.severity > Severity::Note) {
            let word = paint.severity(finding.severity, finding.severity.word());
            let message = harmless_long(&finding.message);
            let body = wrapped(
                &format!("{}: {message}", finding.rule.id),
                width.saturating_sub(14),
                "              ",
            );
            text.push_str(&format!("    {word:<8} {body}\n"));
        }
        text.push_str(&format!(
            "    to do    {}\n",
            wrapped(&harmless_long(&first.hint), width.saturating_sub(14), "             ")
        ));
    }
    titled("the most valuable fixes", &text, paint)
}

/// As [`harmless`], for running text.
fn harmless_long(text: &str) -> String {
    text.split(' ').map(harmless).collect::<Vec<_>>().join(" ")
}

fn edits(summary: &Summary, paint: Paint) -> String {
    if summary.edit_count == 0 {
        return String::new();
    }
    let heads = [
        ("port", Lean::Left),
        ("far end now", Lean::Left),
        ("far end suggested", Lean::Left),
        ("place", Lean::Left),
    ];
    let rows: Vec<Vec<String>> = summary
        .edits
        .iter()
        .take(EDITS)
        .map(|edit| {
            let to = if edit.to.is_empty() { "(none)" } else { &edit.to };
            let from = if edit.from.is_empty() { "(none)" } else { &edit.from };
            vec![
                edit.subject.clone(),
                from.to_string(),
                to.to_string(),
                format!("{}:{}", edit.file, edit.line),
            ]
        })
        .collect();
    let title = format!(
        "{} of far ends would make all claims agree (a suggestion; nothing was changed)",
        counted(summary.edit_count, "change"),
    );
    let mut text = titled(&title, &grid(&heads, &rows, paint), paint);
    if summary.edit_count > EDITS as u64 {
        text.push_str(&format!(
            "… and {} more (JSON and workbook list them)\n",
            thousands(summary.edit_count - EDITS as u64)
        ));
    }
    text
}

fn since(summary: &Summary, paint: Paint) -> String {
    let Some(since) = &summary.since else { return String::new() };
    let mut text = format!(
        "{} new, {} unchanged, {} gone\n",
        thousands(since.new),
        thousands(since.unchanged),
        thousands(since.gone.len() as u64)
    );
    for [_, rule, subject, message] in since.gone.iter().take(GONE) {
        let (subject, message) = (harmless(subject), harmless_long(message));
        text.push_str(&format!("gone: {} ({subject}): {message}\n", harmless(rule)));
    }
    titled("since the last run", &text, paint)
}

fn turns(summary: &Summary, paint: Paint) -> String {
    if summary.turns.is_empty() {
        return String::new();
    }
    let heads = [
        ("column", Lean::Left),
        ("cells", Lean::Right),
        ("how they were read", Lean::Left),
        ("first of them", Lean::Left),
        ("place", Lean::Left),
    ];
    let rows: Vec<Vec<String>> = summary
        .turns
        .iter()
        .map(|turn| {
            vec![
                turn.column.to_string(),
                thousands(turn.cells),
                turn.how.to_string(),
                turn.example.clone(),
                format!("{}:{}", turn.file, turn.line),
            ]
        })
        .collect();
    titled("read as something else than written", &grid(&heads, &rows, paint), paint)
}

fn not_checked(summary: &Summary, paint: Paint, width: usize) -> String {
    // Without a row every rule would be listed.
    if summary.not_checked.is_empty() || summary.rows == 0 {
        return String::new();
    }
    // Rules that miss the same thing in the same number of rows share a line.
    let mut groups: Vec<(&str, u64, Vec<&str>)> = Vec::new();
    for entry in &summary.not_checked {
        let known = groups.iter_mut().find(|group| group.0 == entry.missing && group.1 == entry.rows);
        match known {
            Some(group) => group.2.push(entry.rule),
            None => groups.push((&entry.missing, entry.rows, vec![entry.rule])),
        }
    }
    groups.sort_by(|a, b| b.1.cmp(&a.1).then(a.0.cmp(b.0)));
    let mut text = String::new();
    for (missing, rows, rules) in groups {
        let line = format!("{missing} ({}): {}", counted(rows, "row"), rules.join(", "));
        text.push_str(&format!("  {}\n", wrapped(&line, width.saturating_sub(4), "    ")));
    }
    titled("not checked, for want of", &text, paint)
}

fn caution(paint: Paint, width: usize) -> String {
    let lines = [cautions::LIGHT, cautions::SHELF]
        .map(|text| format!("  {}", wrapped(text, width.saturating_sub(4), "  ")));
    titled("caution", &lines.join("\n"), paint)
}
