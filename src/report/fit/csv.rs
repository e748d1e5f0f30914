//! The spreadsheet's face: one row for each direction, finding, pad, alternative and gap.

use std::io::{self, Write};

use super::{FitReport, ends, words};
use crate::report::budget::as_text;
use crate::units::{DecibelMilliwatts, Decibels};

const HEADS: [&str; 9] =
    ["port", "go", "kind", "what", "says", "margin_db", "headroom_db", "least_dbm", "most_dbm"];

/// Writes the answer for one port.
///
/// # Errors
/// Whatever the writer says.
pub fn write(report: &FitReport<'_>, out: &mut impl Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(HEADS)?;
    let view = report.view;
    let (port, go) = (view.port_name(report.answer.port), report.answer.go.words());
    let mut row = |kind: &str, what: &str, says: &str, figures: [Option<f64>; 4]| {
        let texts = [port, go, kind, what, says].map(as_text);
        let figures =
            figures.map(|figure| figure.map_or_else(String::new, |figure| format!("{figure:.4}")));
        csv.write_record(texts.iter().map(String::as_str).chain(figures.iter().map(String::as_str)))
    };
    row("answer", &words::what(report), &report.answer.because, [None; 4])?;
    for end in ends::shown(report) {
        let pair = view.assessment.pair(end);
        let [least, most] = ends::arrives(end, pair).map(|level| level.map(DecibelMilliwatts::value));
        let margin = end.margin(&pair.window).map(Decibels::value);
        let headroom = end.headroom(&pair.window).map(Decibels::value);
        let figures = [margin, headroom, least, most];
        row("light", &view.end_name(end), end.light.word(), figures)?;
    }
    for finding in &report.answer.findings {
        let says = [finding.message.as_str(), &finding.hint, finding.rule.remedy];
        let says: Vec<&str> = says.into_iter().filter(|part| !part.is_empty()).collect();
        row(finding.severity.word(), finding.rule.id, &says.join("; "), [None; 4])?;
    }
    for advice in report.pads {
        row("pad", &words::place(report, &advice.place), &words::pad(report, advice), [None; 4])?;
    }
    for one in &report.alternatives.found {
        let least =
            |both: [Option<Decibels>; 2]| both[0].zip(both[1]).map(|(out, back)| out.min(back).value());
        let what = format!("{} facing {}", one.near, one.far);
        let changes = if one.changes == 1 { "change" } else { "changes" };
        let with = words::with(report, one);
        let with = if with.is_empty() { with } else { format!("; with {with}") };
        let says = format!("{} {changes}; closes: {}{with}", one.changes, words::closes(one));
        row("alternative", &what, &says, [least(one.margin), least(one.headroom), None, None])?;
    }
    if !report.alternatives.note.is_empty() {
        row("alternatives", "", &report.alternatives.note, [None; 4])?;
    }
    for gap in &report.answer.not_checked {
        row("not checked", gap.datum, &gap.rules.join(" "), [None; 4])?;
    }
    csv.flush()
}
