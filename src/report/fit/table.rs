//! The people's face: GO or not in the first line, then why, the light, what to do, what is open.

use std::io::{self, Write};

use super::{FitReport, ends, words};
use crate::budget::{Direction, End, Verdict};
use crate::check::{Finding, Severity};
use crate::engine::alternatives::Alternative;
use crate::engine::fit::Go;
use crate::report::cautions;
use crate::report::grid::{Lean, grid, harmless, wrapped};
use crate::report::paint::Paint;
use crate::report::trust;
use crate::units::{DecibelMilliwatts, Decibels};

/// Writes the answer for one port.
///
/// # Errors
/// Whatever the writer says.
pub fn write(report: &FitReport<'_>, paint: Paint, out: &mut impl Write) -> io::Result<()> {
    let parts = [
        head(report, paint),
        light(report, paint),
        findings(report, paint),
        list(pad_head(report), report.pads.iter().map(|pad| words::pad(report, pad)), report, paint),
        alternatives(report, paint),
        list("trust", std::iter::once(trust::words(report.rests().trust())), report, paint),
        list("assumed", report.assumed.iter().cloned(), report, paint),
        list("not checked, for it is not stated", gaps(report), report, paint),
        list("caution", [cautions::SHELF, cautions::LIGHT].map(String::from).into_iter(), report, paint),
    ];
    let parts: Vec<String> = parts.into_iter().filter(|part| !part.is_empty()).collect();
    write!(out, "{}", parts.join("\n"))
}

/// A pad mends the level and nothing else: said where something else speaks against the optic.
fn pad_head(report: &FitReport<'_>) -> &'static str {
    let other = report.answer.findings.iter().any(|finding| {
        finding.severity == Severity::Error
            && finding.rule.id != crate::check::budget_rules::overload::RULE.id
    });
    if other { "pad: it would mend the level, not what else speaks against it" } else { "pad" }
}

/// The words in their color: they say the same without it.
pub(super) fn colored(go: Go, paint: Paint) -> String {
    let like = match go {
        Go::Go => Verdict::Pass,
        Go::CannotJudge => Verdict::Unknown,
        Go::NoGo => Verdict::Fail,
    };
    paint.verdict(like, go.words())
}

fn head(report: &FitReport<'_>, paint: Paint) -> String {
    let go = colored(report.answer.go, paint);
    let what = paint.strong(&harmless(&words::what(report)));
    let because = wrapped(&report.answer.because, report.width.saturating_sub(4), "    ");
    format!("{go}   {what}\n    {because}\n")
}

fn level(value: Option<DecibelMilliwatts>) -> String {
    value.map_or_else(|| "?".to_string(), |value| format!("{:.2}", value.value()))
}

fn db(value: Option<Decibels>) -> String {
    value.map_or_else(|| "?".to_string(), |value| format!("{:.2}", value.value()))
}

fn between(values: &[String; 2]) -> String {
    if values.iter().all(|value| value == "?") { "?".to_string() } else { values.join(" to ") }
}

/// One column per direction, so that it stands on a narrow screen.
fn light(report: &FitReport<'_>, paint: Paint) -> String {
    let shown = ends::shown(report);
    if shown.is_empty() {
        return String::new();
    }
    let names: Vec<String> = shown.iter().map(|end| way(report, end)).collect();
    let mut heads = vec![("light", Lean::Left)];
    heads.extend(names.iter().map(|name| (name.as_str(), Lean::Right)));
    let columns: Vec<[String; 10]> = shown.iter().map(|end| column(report, end)).collect();
    // What an interface needs at its receiver is its sensitivity with the penalty in it.
    let link = |end: &&End| matches!(end.direction, Direction::AToB | Direction::BToA);
    let floor = if shown.iter().all(link) { "needs at least, dBm" } else { "sensitivity, dBm" };
    let row = |(index, label): (usize, &&str)| {
        let label = if *label == FLOOR { &floor } else { label };
        let cells = columns.iter().map(|column| column[index].clone());
        std::iter::once((*label).to_string()).chain(cells).collect()
    };
    let rows: Vec<Vec<String>> = LABELS.iter().enumerate().map(row).collect();
    grid(&heads, &rows, paint)
}

/// The row whose name depends on what the receiver is.
const FLOOR: &str = "floor";

/// What the rows of the light say.
const LABELS: [&str; 10] = [
    "wavelength, nm",
    "fiber, km",
    "launch, dBm",
    "loss, dB",
    "arrives, dBm",
    FLOOR,
    "overload, dBm",
    "margin, dB",
    "headroom, dB",
    "verdict",
];

/// `A to B`, `downstream, home-007`.
fn way(report: &FitReport<'_>, end: &End) -> String {
    let name = |port| report.view.port_name(port);
    match end.direction {
        Direction::Downstream => format!("down to {}", name(end.receiver)),
        Direction::Upstream => format!("up from {}", name(end.transmitter)),
        _ => format!("{} to {}", name(end.transmitter), name(end.receiver)),
    }
}

fn column(report: &FitReport<'_>, end: &End) -> [String; 10] {
    let pair = report.view.assessment.pair(end);
    let window = pair.window;
    let known = end.missing.is_none();
    let loss = |value: Decibels| db(known.then_some(value));
    [
        pair.band.nominal.to_string().trim_end_matches(" nm").to_string(),
        format!("{:.3}", end.length.value()),
        between(&window.launch.map(level)),
        between(&[loss(end.least.rounded_down()), loss(end.most.rounded_up())]),
        between(&ends::arrives(end, pair).map(level)),
        level(window.sensitivity),
        level(window.overload),
        db(end.margin(&window).map(Decibels::rounded_down)),
        db(end.headroom(&window).map(Decibels::rounded_down)),
        end.light.word().to_string(),
    ]
}

fn findings(report: &FitReport<'_>, paint: Paint) -> String {
    if report.answer.findings.is_empty() {
        return String::new();
    }
    let lines = report.answer.findings.iter().map(|finding| finding_lines(report, finding, paint));
    let head = if report.answer.go == Go::Go { "worth a look" } else { "what speaks against it" };
    format!("{}\n{}", paint.strong(head), lines.collect::<String>())
}

fn finding_lines(report: &FitReport<'_>, finding: &Finding, paint: Paint) -> String {
    const INDENT: &str = "    ";
    let width = report.width.saturating_sub(INDENT.len());
    let severity = paint.severity(finding.severity, finding.severity.word());
    let mut text = format!("  {severity} {}\n", finding.rule.id);
    let todo = format!("to do: {}", finding.rule.remedy);
    let todo = if finding.severity > Severity::Note { todo } else { String::new() };
    for line in [&finding.message, &finding.hint, &todo].into_iter().filter(|line| !line.is_empty()) {
        text.push_str(&format!("{INDENT}{}\n", wrapped(line, width, INDENT)));
    }
    text
}

fn gaps<'a>(report: &'a FitReport<'_>) -> impl Iterator<Item = String> + 'a {
    report.answer.not_checked.iter().map(words::gap)
}

fn list(
    head: &str,
    lines: impl Iterator<Item = String>,
    report: &FitReport<'_>,
    paint: Paint,
) -> String {
    let width = report.width.saturating_sub(2);
    let lines: Vec<String> = lines.map(|line| format!("  {}", wrapped(&line, width, "    "))).collect();
    if lines.is_empty() {
        return String::new();
    }
    format!("{}\n{}\n", paint.strong(head), lines.join("\n"))
}

/// Other optics that close, best first; where none does, those that come nearest. Where nothing is
/// proposed, why.
fn alternatives(report: &FitReport<'_>, paint: Paint) -> String {
    let found = &report.alternatives.found;
    let closing = found.iter().filter(|one| one.closes).count();
    let kept = if closing > 0 { closing } else { found.len() };
    let shown: Vec<&Alternative> = found.iter().take(kept.min(report.most_alternatives)).collect();
    let width = report.width.saturating_sub(2);
    let note = match report.alternatives.note.as_str() {
        "" => String::new(),
        note => format!("  {}\n", wrapped(note, width, "  ")),
    };
    if shown.is_empty() {
        return if note.is_empty() {
            note
        } else {
            format!("{}\n{note}", paint.strong("what else would do"))
        };
    }
    let here = format!("in {}", report.view.port_name(report.answer.port));
    let mut heads = vec![
        (here.as_str(), Lean::Left),
        ("at the far end", Lean::Left),
        ("changes", Lean::Right),
        ("margin out / in, dB", Lean::Right),
        ("headroom out / in, dB", Lean::Right),
    ];
    let with = shown.iter().any(|one| !one.part.is_empty() || !one.pads.is_empty());
    heads.extend(with.then_some(("with", Lean::Left)));
    let both = |values: [Option<Decibels>; 2]| {
        values.map(|value| db(value.map(Decibels::rounded_down))).join(" / ")
    };
    let row = |one: &&Alternative| {
        let changes = one.changes.to_string();
        let far = if one.marginal { format!("{} (marginal)", one.far) } else { one.far.clone() };
        let mut cells = vec![one.near.clone(), far, changes, both(one.margin), both(one.headroom)];
        cells.extend(with.then(|| words::with(report, one)));
        cells
    };
    let rows: Vec<Vec<String>> = shown.iter().map(row).collect();
    let left = kept - shown.len();
    let more = if left > 0 {
        format!("… and {left} more (--alternatives {kept} shows them)\n")
    } else {
        String::new()
    };
    let head = match closing {
        0 => "nothing else closes in the worst case; nearest to it",
        _ => "what else would do: it closes in the worst case",
    };
    format!("{}\n{note}{}{more}", paint.strong(head), grid(&heads, &rows, paint))
}
