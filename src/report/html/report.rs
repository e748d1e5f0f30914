//! The page of a judged plan.

use std::io::{self, Write};

use askama::Template;

use super::{bars, data, frame, tree};
use crate::budget::{Direction, Group, GroupKind, Verdict};
use crate::check::Severity;
use crate::check::view::View;
use crate::engine::rests::Rests;
use crate::report::budget::{EndRow, assumptions, counted, tables_used};
use crate::report::document::{
    Action, Document, GroupLine, Identity, Sign, actions, group_lines, histogram, sign, signs,
    the_one_thing, unchecked,
};
use crate::report::order::{self, tightest_first};
use crate::report::trust;
use crate::units::{Decibels, Kilometers, Probability};

/// Rows that stand in the page itself; the script shows the rest.
const ROWS_WITHOUT_SCRIPT: usize = 50;
/// Diagrams that a file carries at most: those of the groups listed first.
const MOST_TREES: usize = 1_000;
/// Findings of one rule that are listed.
const MOST_FINDINGS: usize = 60;

/// A figure under the verdict.
struct Fact {
    head: &'static str,
    figure: String,
    words: String,
}

/// A PON or link as the page lists it.
struct GroupRow {
    name: String,
    optic: String,
    served: u32,
    near: String,
    far: String,
    margin: String,
    headroom: String,
    closes: String,
    reserve: String,
    verdict: Sign,
    why: String,
}

/// An end as the page lists it.
struct PageEnd {
    id: String,
    direction: &'static str,
    nm: f64,
    length: String,
    most: String,
    max: String,
    margin: String,
    headroom: String,
    closes: String,
    verdict: Sign,
    why: String,
}

/// What to do, as the page lists it.
struct PageAction {
    class: u8,
    class_words: &'static str,
    rule: &'static str,
    remedy: &'static str,
    why: &'static str,
    findings: Vec<PageFinding>,
    left: usize,
}

struct PageFinding {
    subject: String,
    message: String,
    hint: String,
    place: String,
}

#[derive(Template)]
#[template(path = "report.html")]
struct Page<'p> {
    identity: &'p Identity,
    units_words: &'static str,
    version: &'static str,
    policy: String,
    style: String,
    script: &'static str,
    data: String,
    verdict_word: &'static str,
    verdict_mark: &'static str,
    counts: String,
    found: String,
    todo: String,
    about: String,
    facts: Vec<Fact>,
    has_reserve: bool,
    unit: &'static str,
    signs: Vec<Sign>,
    groups: Vec<GroupRow>,
    group_count: usize,
    ends: Vec<PageEnd>,
    end_count: usize,
    directions: Vec<&'static str>,
    outward: &'static str,
    inward: &'static str,
    left: &'static str,
    histogram: String,
    yields: Vec<String>,
    trees: Vec<String>,
    actions: Vec<PageAction>,
    assumptions: Vec<String>,
    unchecked: Vec<String>,
    rests_on: String,
    tables: Vec<crate::report::budget::TableRow>,
    cautions: [&'static str; 2],
    hazards: Vec<String>,
}

/// Writes the page.
///
/// # Errors
/// Whatever the writer says.
pub fn write(document: &Document<'_>, out: &mut impl Write) -> io::Result<()> {
    let lines = group_lines(document.view);
    let text = page(document, &lines).render().map_err(io::Error::other)?;
    out.write_all(text.as_bytes())
}

fn page<'p>(document: &'p Document<'_>, lines: &[GroupLine<'_>]) -> Page<'p> {
    const SCRIPT: &str = include_str!("../../../templates/report.js");
    let view = document.view;
    let profiles = data::profiles(document, lines);
    let verdict = sign(view.assessment.standing.verdict.unwrap_or(Verdict::Unknown));
    let todo = actions(view, document.findings);
    let rests = Rests::of_plan(view);
    let (do_this, about) = the_one_thing(view, &todo);
    let drawn = lines.iter().zip(&profiles).take(MOST_TREES);
    let ends = tightest_first(view, usize::MAX);
    let listed = ends.iter().take(ROWS_WITHOUT_SCRIPT);
    Page {
        identity: &document.identity,
        units_words: frame::units_words(document.lengths),
        version: frame::VERSION,
        policy: frame::policy(Some(SCRIPT)),
        style: frame::style(&document.identity, include_str!("../../../templates/report.css")),
        script: SCRIPT,
        data: data::island(document, lines, &profiles),
        verdict_word: verdict.word,
        verdict_mark: verdict.mark,
        counts: counted(document.view),
        found: found_words(document),
        todo: do_this,
        about: frame::marked(&about),
        facts: facts(document, lines),
        has_reserve: view.plan.assumptions.reserve > Decibels::ZERO,
        unit: document.lengths.long_unit(),
        signs: signs(),
        groups: lines.iter().take(ROWS_WITHOUT_SCRIPT).map(|line| group_row(document, line)).collect(),
        group_count: lines.len(),
        ends: listed.map(|index| page_end(document, *index)).collect(),
        end_count: ends.len(),
        directions: directions(document),
        outward: direction_words(view)[0],
        inward: direction_words(view)[1],
        left: if view.pons().next().is_some() { "Office" } else { "A" },
        histogram: bars::draw(document, &histogram(view)),
        yields: yield_lines(document, lines),
        trees: drawn.map(|(line, profile)| tree::draw(document, line, profile)).collect(),
        actions: todo.iter().map(|action| page_action(document, action)).collect(),
        assumptions: assumptions(view),
        unchecked: unchecked(view),
        rests_on: trust::words(rests.trust()),
        tables: tables_used(&rests, document.files),
        cautions: frame::cautions(),
        hazards: frame::hazards(document),
    }
}

/// How many findings there are, by severity; empty without any.
fn found_words(document: &Document<'_>) -> String {
    let all = [Severity::Error, Severity::Warning, Severity::Note];
    let said: Vec<String> = all
        .into_iter()
        .filter_map(|severity| {
            let count = document.findings.iter().filter(|f| f.severity == severity).count();
            let s = if count == 1 { "" } else { "s" };
            (count > 0).then(|| format!("{count} {}{s}", severity.word()))
        })
        .collect();
    said.join(", ")
}

fn directions(document: &Document<'_>) -> Vec<&'static str> {
    let all = [Direction::Downstream, Direction::Upstream, Direction::AToB, Direction::BToA];
    let ends = &document.view.assessment.ends;
    let used = all.into_iter().filter(|direction| ends.iter().any(|end| end.direction == *direction));
    used.map(Direction::word).collect()
}

/// A margin or headroom as every face shows it.
fn down(value: Option<Decibels>) -> String {
    let minus = |value: Decibels| format!("{:.2}", value.rounded_down().value()).replace('-', "−");
    value.map_or_else(|| "?".to_string(), minus)
}

fn group_row(document: &Document<'_>, line: &GroupLine<'_>) -> GroupRow {
    let km = |pick: fn((Kilometers, Kilometers)) -> Kilometers| {
        let length = line.group.lengths.map(pick);
        length.map_or_else(|| "?".to_string(), |length| document.lengths.long_number(length))
    };
    let shown = |p: Option<Probability>| p.map_or_else(String::new, |p| p.to_string());
    GroupRow {
        name: line.far.map_or_else(|| line.id.to_string(), |far| format!("{} to {far}", line.id)),
        optic: line.optic.to_string(),
        served: line.group.served,
        near: km(|lengths| lengths.0),
        far: km(|lengths| lengths.1),
        margin: down(line.margin),
        headroom: down(line.headroom),
        closes: shown(line.closes),
        reserve: shown(line.keeps_reserve),
        verdict: sign(line.verdict),
        why: line.why.join(", "),
    }
}

fn page_end(document: &Document<'_>, index: usize) -> PageEnd {
    let view = document.view;
    let end = &view.assessment.ends[index];
    let row = EndRow::of(view, end);
    let window = view.assessment.pair(end).window;
    let known = |value: Decibels| end.missing.is_none().then_some(value);
    let db = |value: Option<Decibels>| {
        value.map_or_else(|| "?".to_string(), |value| format!("{:.2}", value.value()))
    };
    PageEnd {
        id: row.id.to_string(),
        direction: row.direction,
        nm: row.wavelength_nm,
        length: document.lengths.long_number(end.length),
        most: db(known(end.most.rounded_up())),
        max: db(window.max),
        margin: down(end.margin(&window)),
        headroom: down(end.headroom(&window)),
        closes: end.statistics.and_then(|s| s.closes).map_or_else(String::new, |p| p.to_string()),
        verdict: sign(end.verdict),
        why: view.assessment.why(end).join(", "),
    }
}

/// The figures under the verdict.
fn facts(document: &Document<'_>, lines: &[GroupLine<'_>]) -> Vec<Fact> {
    let view = document.view;
    let mut facts = Vec::new();
    let all = 0..view.assessment.ends.len();
    if let Some(end) = order::worst_of(view, all.clone()).map(|index| &view.assessment.ends[index]) {
        let window = view.assessment.pair(end).window;
        facts.push(Fact {
            head: "Least margin",
            figure: format!("{} dB", down(end.margin(&window))),
            words: format!(
                "{}: worst case {} of {} allowed",
                view.end_name(end).replace('`', ""),
                end.most.rounded_up(),
                view.max(end)
            ),
        });
    }
    if let Some(end) = order::nearest_of(view, all).map(|index| &view.assessment.ends[index]) {
        let window = view.assessment.pair(end).window;
        facts.push(Fact {
            head: "Least headroom to overload",
            figure: format!("{} dB", down(end.headroom(&window))),
            words: format!(
                "{}, least loss {}",
                view.end_name(end).replace('`', ""),
                end.least.rounded_down()
            ),
        });
    }
    if let Some((line, closes, tie)) = least_sure(lines) {
        let words = if tie {
            "every PON closes as surely, both ways".to_string()
        } else {
            format!(
                "all {} ends of {} ({}) close together, both ways",
                line.group.served, line.id, line.optic
            )
        };
        facts.push(Fact { head: "Least joint yield", figure: closes.to_string(), words });
    }
    if let Some(hazard) = document.hazards.first() {
        let level = hazard.level.as_deref().unwrap_or("not known");
        facts.push(Fact {
            head: "Most light from an open connector",
            figure: format!("{:.1}", hazard.power),
            words: format!("at {}, hazard level {level}", view.plan.point_name(hazard.point)),
        });
    }
    facts
}

/// The PON that closes least surely, and whether all of several show the same figure.
fn least_sure<'l, 'd>(lines: &'l [GroupLine<'d>]) -> Option<(&'l GroupLine<'d>, Probability, bool)> {
    let known = || lines.iter().filter_map(|line| Some((line, line.group.joint?.both)));
    let (line, closes) =
        known().min_by(|a, b| a.1.value().total_cmp(&b.1.value()).then(a.0.index.cmp(&b.0.index)))?;
    let shown = closes.to_string();
    let tie = known().count() > 1 && known().all(|(_, other)| other.to_string() == shown);
    Some((line, closes, tie))
}

/// How surely the PONs close, the least sure first.
fn yield_lines(document: &Document<'_>, lines: &[GroupLine<'_>]) -> Vec<String> {
    const MOST: usize = 3;
    let mut known: Vec<(f64, &GroupLine<'_>)> =
        lines.iter().filter_map(|line| Some((line.group.joint?.both.value(), line))).collect();
    known.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.index.cmp(&b.1.index)));
    let tie = least_sure(lines).filter(|(_, _, tie)| *tie);
    let listed = if tie.is_some() { 0 } else { MOST };
    let mut said: Vec<String> = known
        .iter()
        .take(listed)
        .filter_map(|(_, line)| {
            let joint = line.group.joint?;
            let reserve = joint.with_reserve.map_or_else(String::new, |p| {
                format!("; with the reserve of {} kept, {p}", document.view.plan.assumptions.reserve)
            });
            Some(format!(
                "All {} ends of {} ({}) close together with {} (downstream {}, upstream {}){reserve}; {}.",
                line.group.served,
                line.id,
                line.optic,
                joint.both,
                joint.downstream,
                joint.upstream,
                failures(joint.expected_failures)
            ))
        })
        .collect();
    if let Some((_, closes, _)) = tie {
        said.push(format!(
            "Each of the {} PONs closes with {closes}, all its ends together and both ways.",
            known.len()
        ));
    } else if known.len() > MOST {
        said.push(format!("The other {} PONs close no less surely: see the table.", known.len() - MOST));
    }
    let unknown = histogram(document.view).unknown;
    if unknown > 0 {
        said.push(format!("{unknown} ends have no known margin and are not in the bars."));
    }
    said
}

/// The two directions in words: a PON has an office, a link has two ends that are alike.
pub(super) fn direction_words(view: View<'_>) -> [&'static str; 2] {
    let is_pon = |group: &Group| group.kind == GroupKind::Pon;
    let groups = &view.assessment.groups;
    match (groups.iter().any(is_pon), groups.iter().any(|group| !is_pon(group))) {
        (_, false) => ["from the office (downstream)", "to the office (upstream)"],
        (false, true) => ["A to B", "B to A"],
        (true, true) => ["from the office, A to B", "to the office, B to A"],
    }
}

/// How many ends fail on the mean.
fn failures(expected: f64) -> String {
    if expected < 0.001 {
        return "fewer than 0.001 ends fail on the mean".to_string();
    }
    format!("{expected:.3} ends fail on the mean")
}

fn page_action(document: &Document<'_>, action: &Action<'_>) -> PageAction {
    let findings = action.findings.iter().take(MOST_FINDINGS).map(|finding| PageFinding {
        subject: finding.subject.clone(),
        message: frame::marked(&finding.message),
        hint: frame::marked(&finding.hint),
        place: document.files.describe(finding.origin),
    });
    PageAction {
        class: action.class as u8,
        class_words: action.class.words(),
        rule: action.rule.id,
        remedy: action.rule.remedy,
        why: action.rule.why,
        findings: findings.collect(),
        left: action.findings.len().saturating_sub(MOST_FINDINGS),
    }
}
