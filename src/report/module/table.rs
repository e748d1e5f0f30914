//! The people's face: what the module says of itself, what does not add up, the cautions.

use std::io::{self, Write};

use super::Module;
use super::facts::facts;
use crate::check::{Finding, Severity};
use crate::fit::memory::{Diagnostics, Limit, Limits, Reading};
use crate::report::cautions;
use crate::report::grid::{Lean, grid, harmless, wrapped};
use crate::report::paint::Paint;

/// Columns that the heads of the facts take.
const HEAD: usize = 20;

/// Writes the whole report.
///
/// # Errors
/// Whatever the writer says.
pub fn write(module: &Module<'_>, paint: Paint, out: &mut impl Write) -> io::Result<()> {
    let width = module.width.max(60);
    writeln!(out, "{}", paint.strong("what the module says of itself"))?;
    let indent = " ".repeat(HEAD);
    for (head, words) in facts(module) {
        // Long text is broken, not cut; what cannot be shown is replaced word by word.
        let shown: Vec<String> = words.split_whitespace().map(harmless).collect();
        let words = wrapped(&shown.join(" "), width - HEAD, &indent);
        writeln!(out, "  {head:<18}{words}")?;
    }
    if let Ok(diagnostics) = &module.memory.diagnostics {
        write!(out, "\n{}", readings(diagnostics, paint))?;
    }
    writeln!(out, "\n{}", paint.strong("what does not add up"))?;
    if module.findings.is_empty() {
        writeln!(out, "  nothing was found")?;
    }
    for finding in module.findings {
        write!(out, "{}", finding_lines(finding, width, paint))?;
    }
    writeln!(out, "\n{}", paint.strong("caution"))?;
    for caution in [cautions::LIGHT, cautions::SHELF] {
        writeln!(out, "  {}", wrapped(caution, width - 2, "  "))?;
    }
    Ok(())
}

/// Every reading with the thresholds of its quantity.
fn readings(found: &Diagnostics, paint: Paint) -> String {
    let heads = [
        ("reading", Lean::Left),
        ("lane", Lean::Right),
        ("now", Lean::Right),
        ("low alarm", Lean::Right),
        ("low warning", Lean::Right),
        ("high warning", Lean::Right),
        ("high alarm", Lean::Right),
        ("", Lean::Left),
    ];
    let stated = found.thresholds.stated();
    let limits = |of| stated.iter().find(|(quantity, _)| *quantity == of).map(|(_, limits)| *limits);
    let mut readings = found.readings();
    readings.sort_by_key(|(quantity, lane, _)| (*quantity, *lane));
    let rows: Vec<Vec<String>> = readings
        .into_iter()
        .map(|(quantity, lane, reading)| {
            let limits = limits(quantity);
            let mut row = vec![
                quantity.word().to_string(),
                lane.map_or_else(String::new, |lane| lane.to_string()),
                reading.to_string(),
            ];
            let rising = [Limit::LowAlarm, Limit::LowWarning, Limit::HighWarning, Limit::HighAlarm];
            row.extend(
                rising.map(|limit| limits.map_or_else(String::new, |of| of.get(limit).to_string())),
            );
            row.push(crossed(reading, limits));
            row
        })
        .collect();
    grid(&heads, &rows, paint)
}

fn crossed(reading: Reading, limits: Option<Limits<Reading>>) -> String {
    let ordered = limits.filter(Limits::are_ordered);
    let side = |limit: Limit| match limit {
        Limit::HighAlarm | Limit::HighWarning => format!("above {}", limit.word()),
        Limit::LowAlarm | Limit::LowWarning => format!("below {}", limit.word()),
    };
    ordered.and_then(|limits| limits.crossed_by(reading)).map_or_else(String::new, side)
}

fn finding_lines(finding: &Finding, width: usize, paint: Paint) -> String {
    let indent = "    ";
    let severity = paint.severity(finding.severity, finding.severity.word());
    let mut text = format!("  {severity} {}\n", finding.rule.id);
    let mut lines = vec![harmless_words(&finding.message), harmless_words(&finding.hint)];
    if finding.severity > Severity::Note {
        lines.push(format!("to do: {}", finding.rule.remedy));
    }
    for line in lines.iter().filter(|line| !line.is_empty()) {
        text.push_str(&format!("{indent}{}\n", wrapped(line, width - indent.len(), indent)));
    }
    text
}

/// Words of a file made harmless one by one, so that a long message is not cut.
fn harmless_words(text: &str) -> String {
    text.split_whitespace().map(harmless).collect::<Vec<_>>().join(" ")
}
