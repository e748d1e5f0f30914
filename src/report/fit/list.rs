//! The answers for all ports of a plan.

use std::io::{self, Write};

use serde::Serialize;

use super::table::colored;
use super::{FitReport, words};
use crate::budget::Verdict;
use crate::check::Severity;
use crate::check::view::View;
use crate::engine::alternatives::Alternatives;
use crate::engine::fit::{Answer, Go};
use crate::engine::rests::Rests;
use crate::place::Files;
use crate::report::budget::{FindingRow, as_text, unjudged};
use crate::report::cautions;
use crate::report::grid::{Lean, grid, harmless, wrapped};
use crate::report::paint::Paint;
use crate::report::trust::{self, TrustRow};
use crate::units::Decibels;

/// The version of the JSON shape.
const SHAPE_VERSION: u32 = 1;

/// The answers for all ports of a plan, worst first.
pub struct FitList<'a> {
    /// The judged plan.
    pub view: View<'a>,
    /// The answers.
    pub answers: &'a [Answer],
    /// How many a table shows at most; `None` = all.
    pub most: Option<usize>,
    /// Names of the files, for places.
    pub files: &'a Files,
    /// Columns the terminal has.
    pub width: usize,
}

/// A list proposes nothing for single ports.
static NONE: Alternatives = Alternatives { found: Vec::new(), note: String::new() };

impl FitList<'_> {
    /// The gravest answer: one NO-GO is a NO-GO.
    pub fn gravest(&self) -> Go {
        let answers = self.answers.iter().map(|answer| answer.go).max().unwrap_or(Go::CannotJudge);
        // A home that is dark or has no optic is in no answer about equipment.
        let whole = match self.view.assessment.standing.verdict {
            Some(Verdict::Pass | Verdict::Marginal) => Go::Go,
            Some(Verdict::Overload | Verdict::Fail) => Go::NoGo,
            Some(Verdict::Unknown) | None => Go::CannotJudge,
        };
        answers.max(whole)
    }

    fn count(&self, go: Go) -> usize {
        self.answers.iter().filter(|answer| answer.go == go).count()
    }

    fn report<'s>(&'s self, answer: &'s Answer) -> FitReport<'s> {
        FitReport {
            view: self.view,
            answer,
            pads: &[],
            alternatives: &NONE,
            most_alternatives: 0,
            assumed: &[],
            files: self.files,
            width: self.width,
        }
    }

    /// The smallest margin and headroom of a port's light.
    fn room(&self, answer: &Answer) -> [Option<Decibels>; 2] {
        let ends = || answer.ends.iter().map(|end| &self.view.assessment.ends[*end]);
        let least = |all: Vec<Option<Decibels>>| {
            let all: Option<Vec<Decibels>> = all.into_iter().collect();
            all?.into_iter().reduce(Decibels::min)
        };
        let window = |end| self.view.assessment.pair(end).window;
        [
            least(ends().map(|end| end.margin(&window(end))).collect()),
            least(ends().map(|end| end.headroom(&window(end))).collect()),
        ]
    }
}

/// Writes the list for people.
///
/// # Errors
/// Whatever the writer says.
pub fn write_table(list: &FitList<'_>, paint: Paint, out: &mut impl Write) -> io::Result<()> {
    let counts = [Go::NoGo, Go::CannotJudge, Go::Go]
        .map(|go| format!("{} {}", list.count(go), go.words()))
        .join(", ");
    writeln!(out, "{}   {} ports: {counts}", colored(list.gravest(), paint), list.answers.len())?;
    for line in unjudged(list.view) {
        writeln!(out, "not judged  {line}")?;
    }
    writeln!(out)?;
    let heads = [
        ("port", Lean::Left),
        ("optic", Lean::Left),
        ("margin, dB", Lean::Right),
        ("headroom, dB", Lean::Right),
        ("answer", Lean::Left),
    ];
    let most = list.most.unwrap_or(usize::MAX);
    let shown: Vec<&Answer> = list.answers.iter().take(most).collect();
    let rows: Vec<Vec<String>> = shown.iter().map(|answer| row(list, answer)).collect();
    write!(out, "{}", grid(&heads, &rows, paint))?;
    if list.answers.len() > shown.len() {
        let left = list.answers.len() - shown.len();
        writeln!(out, "… and {left} more ports with more room (--all shows them)")?;
    }
    reasons(list, &shown, paint, out)?;
    let said = trust::words(Rests::of_plan(list.view).trust());
    writeln!(
        out,
        "\n{}\n  {}",
        paint.strong("trust"),
        wrapped(&said, list.width.saturating_sub(2), "    ")
    )?;
    writeln!(out, "\n{}", paint.strong("caution"))?;
    for caution in [cautions::SHELF, cautions::LIGHT] {
        writeln!(out, "  {}", wrapped(caution, list.width.saturating_sub(2), "  "))?;
    }
    Ok(())
}

/// Why ports are no plain GO. Ports with the same trouble, such as the two ends of a link, share it.
fn reasons(list: &FitList<'_>, shown: &[&Answer], paint: Paint, out: &mut impl Write) -> io::Result<()> {
    let mut troubles: Vec<(Vec<String>, Vec<&Answer>)> = Vec::new();
    for answer in shown {
        let lines = trouble(answer);
        match troubles.iter_mut().find(|(known, _)| *known == lines) {
            _ if lines.is_empty() => {}
            Some((_, answers)) => answers.push(answer),
            None => troubles.push((lines, vec![answer])),
        }
    }
    if troubles.is_empty() {
        return Ok(());
    }
    writeln!(out, "\n{}", paint.strong("why (fit PLAN --port ID tells the whole)"))?;
    for (lines, answers) in troubles {
        let names: Vec<String> =
            answers.iter().map(|answer| harmless(list.view.port_name(answer.port))).collect();
        let go = answers.iter().map(|answer| answer.go).max().unwrap_or(Go::CannotJudge);
        writeln!(out, "  {}: {}", names.join(", "), go.words())?;
        for line in lines {
            writeln!(out, "    {}", wrapped(&line, list.width.saturating_sub(4), "      "))?;
        }
    }
    Ok(())
}

/// What is to be said of a port, line by line; nothing for a plain GO.
fn trouble(answer: &Answer) -> Vec<String> {
    let mut lines: Vec<String> = answer
        .findings
        .iter()
        .filter(|finding| finding.severity > Severity::Note)
        .map(|finding| format!("{} {}: {}", finding.severity.word(), finding.rule.id, finding.message))
        .collect();
    if lines.is_empty() && answer.go != Go::Go {
        lines.push(answer.because.clone());
    }
    lines
}

fn optics(list: &FitList<'_>, port: u32) -> String {
    let optics = list.view.assessment.pairs.of_port(list.view.plan, port);
    optics.iter().map(|optic| list.view.optic_name(*optic)).collect::<Vec<_>>().join(", ")
}

fn row(list: &FitList<'_>, answer: &Answer) -> Vec<String> {
    let db = |value: Option<Decibels>| {
        value.map_or_else(|| "?".to_string(), |value| format!("{:.2}", value.rounded_down().value()))
    };
    let [margin, headroom] = list.room(answer).map(db);
    let name = list.view.port_name(answer.port).to_string();
    let marginal = answer.go == Go::Go && answer.light == Some(Verdict::Marginal);
    let words = if marginal { "GO (marginal)" } else { answer.go.words() };
    vec![name, optics(list, answer.port), margin, headroom, words.to_string()]
}

#[derive(Serialize)]
struct PortRow<'a> {
    port: &'a str,
    optic: String,
    go: &'static str,
    what: String,
    because: &'a str,
    light: Option<&'static str>,
    margin_db: Option<f64>,
    headroom_db: Option<f64>,
    findings: Vec<FindingRow<'a>>,
    not_checked: Vec<&'static str>,
}

#[derive(Serialize)]
struct Document<'a> {
    shape: &'static str,
    version: u32,
    go: &'static str,
    ports: Vec<PortRow<'a>>,
    rests_on: TrustRow,
    cautions: [&'static str; 2],
}

/// Writes the list for programs.
///
/// # Errors
/// Whatever the writer says.
pub fn write_json(list: &FitList<'_>, out: &mut impl Write) -> io::Result<()> {
    let port = |answer| {
        let report = list.report(answer);
        let [margin, headroom] = list.room(answer);
        PortRow {
            port: list.view.port_name(answer.port),
            optic: optics(list, answer.port),
            go: answer.go.words(),
            what: words::what(&report),
            because: &answer.because,
            light: answer.light.map(Verdict::word),
            margin_db: margin.map(Decibels::value),
            headroom_db: headroom.map(Decibels::value),
            findings: answer.findings.iter().map(|one| FindingRow::of(one, list.files)).collect(),
            not_checked: answer.not_checked.iter().map(|gap| gap.datum).collect(),
        }
    };
    let document = Document {
        shape: "spanwright.fit-list",
        version: SHAPE_VERSION,
        go: list.gravest().words(),
        ports: list.answers.iter().map(port).collect(),
        rests_on: TrustRow::of(Rests::of_plan(list.view).trust()),
        cautions: [cautions::SHELF, cautions::LIGHT],
    };
    serde_json::to_writer_pretty(&mut *out, &document)?;
    writeln!(out)
}

/// Writes the list for spreadsheets.
///
/// # Errors
/// Whatever the writer says.
pub fn write_csv(list: &FitList<'_>, out: &mut impl Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    csv.write_record(["port", "optic", "go", "because", "light", "margin_db", "headroom_db", "rules"])?;
    for answer in list.answers {
        let number =
            |value: Option<Decibels>| value.map_or_else(String::new, |v| format!("{:.4}", v.value()));
        let [margin, headroom] = list.room(answer).map(number);
        let rules: Vec<&str> = answer.findings.iter().map(|finding| finding.rule.id).collect();
        let light = answer.light.map_or("", Verdict::word);
        let optic = optics(list, answer.port);
        let texts =
            [list.view.port_name(answer.port), &optic, answer.go.words(), &answer.because, light];
        let texts = texts.map(as_text);
        csv.write_record(texts.iter().chain([&margin, &headroom, &rules.join(" ")]))?;
    }
    csv.flush()
}
