//! The people's face: the verdict first, then PONs and ends by margin, findings, assumptions.

use std::io::{self, Write};

use super::groups::{links, pons, spare_legs};
use super::rows::premises_port;
use super::{Budget, detail, summary};
use crate::budget::{End, Group, Verdict};
use crate::check::{Finding, Severity};
use crate::engine::rests::Rests;
use crate::report::cautions;
use crate::report::grid::{Lean, grid_with_verdicts, harmless, wrapped};
use crate::report::order::{self, Alike};
use crate::report::paint::Paint;
use crate::report::trust;
use crate::units::Decibels;

/// Writes the whole report.
///
/// # Errors
/// Whatever the writer says.
pub fn write(budget: &Budget<'_>, paint: Paint, out: &mut impl Write) -> io::Result<()> {
    writeln!(out, "{}", head(budget, paint))?;
    if budget.details.is_empty() {
        write!(out, "{}", pons(budget, paint))?;
        write!(out, "{}", links(budget, paint))?;
        write!(out, "{}", spare_legs(budget, paint))?;
        write!(out, "{}", ends(budget, paint))?;
    }
    for one in budget.details {
        writeln!(out, "{}", detail::table(budget, one, paint))?;
    }
    write!(out, "{}", findings(budget, paint))?;
    write!(out, "{}", foot(budget, paint))
}

/// Verdict, worst end, nearest end, joint yield.
fn head(budget: &Budget<'_>, paint: Paint) -> String {
    let view = budget.view;
    let mut lines = Vec::new();
    let title = harmless(&view.plan.title);
    let revision =
        view.plan.revision.as_ref().map_or_else(String::new, |r| format!(", revision {}", harmless(r)));
    if !title.is_empty() {
        lines.push(paint.strong(&format!("{title}{revision}")));
    }
    lines.push(format!("{:<13}{}", "verdict", verdict_line(budget, paint)));
    if let Some(worst) = worst(budget) {
        lines.push(format!("{:<13}{}", "worst end", end_line(budget, worst)));
    }
    lines.extend(summary::unjudged(view).into_iter().map(|line| format!("{:<13}{line}", "not judged")));
    let mut unknown = view.assessment.ends.iter().filter(|end| end.verdict == Verdict::Unknown);
    if let Some(first) = unknown.next() {
        let (name, why) = (view.end_name(first), summary::reason(view, first));
        let more = match unknown.count() {
            0 => String::new(),
            count => format!(" (and {count} more)"),
        };
        lines.push(format!("{:<13}{name}: {why}{more}", "unknown"));
    }
    if let Some(nearest) = nearest(budget) {
        let window = view.assessment.pair(nearest).window;
        let headroom = nearest.headroom(&window).map_or_else(
            || "overload limit not known".to_string(),
            |headroom| format!("headroom {} to overload", headroom.rounded_down()),
        );
        let text = format!(
            "{}, least loss {}, {headroom}",
            view.end_name(nearest),
            nearest.least.rounded_down()
        );
        lines.push(format!("{:<13}{text}", "nearest end"));
    }
    if let Some(line) = joint_line(budget) {
        lines.push(format!("{:<13}{line}", "joint yield"));
    }
    for hazard in budget.hazards.iter().take(1) {
        let level = hazard.level.as_ref().map_or_else(
            || "hazard level not known".to_string(),
            |level| format!("hazard level {level}"),
        );
        let point = view.plan.point_name(hazard.point);
        lines.push(format!(
            "{:<13}up to {:.1} if `{point}` is opened ({level}, IEC 60825-2)",
            "open light", hazard.power
        ));
    }
    let mut text = lines.join("\n");
    text.push('\n');
    text
}

fn verdict_line(budget: &Budget<'_>, paint: Paint) -> String {
    let view = budget.view;
    let Some(verdict) = view.assessment.standing.verdict else {
        return paint.verdict(Verdict::Unknown, "UNKNOWN: no light reaches any end");
    };
    let word = paint.verdict(verdict, &verdict.word().to_uppercase());
    format!("{word}   {}", summary::counted(view))
}

fn end_line(budget: &Budget<'_>, end: &End) -> String {
    let view = budget.view;
    let window = view.assessment.pair(end).window;
    match end.margin(&window) {
        Some(margin) => format!(
            "{}: worst case {} of {} allowed, margin {}",
            view.end_name(end),
            end.most.rounded_up(),
            view.max(end),
            margin.rounded_down()
        ),
        None => format!("{}: {}", view.end_name(end), summary::reason(view, end)),
    }
}

/// The PON that closes least surely.
fn joint_line(budget: &Budget<'_>) -> Option<String> {
    let view = budget.view;
    let several = |group: &&Group| group.joint.is_some() && group.served > 1;
    let pons: Vec<&Group> = view.pons().filter(several).collect();
    let worst = pons.iter().min_by(|a, b| {
        let of = |group: &Group| group.joint.map_or(1.0, |joint| joint.both.value());
        of(a).total_cmp(&of(b))
    })?;
    let joint = worst.joint?;
    let shown = joint.both.to_string();
    let as_sure = |group: &&Group| group.joint.is_some_and(|joint| joint.both.to_string() == shown);
    if pons.len() > 1 && pons.iter().all(as_sure) {
        return Some(format!("all ends of each of {} PONs close both ways with {shown}", pons.len()));
    }
    let which = if pons.len() == 1 { String::new() } else { " (the lowest of all PONs)".to_string() };
    Some(format!(
        "all {} ends of `{}` close both ways with {}{which}",
        worst.served,
        view.port_name(worst.port),
        joint.both
    ))
}

/// The end with the least headroom, or the shortest way where headroom is not known.
fn nearest<'a>(budget: &Budget<'a>) -> Option<&'a End> {
    let view = budget.view;
    let ends = &view.assessment.ends;
    let shortest = || {
        let judged = (0..ends.len()).filter(|index| ends[*index].missing.is_none());
        judged.min_by(|a, b| ends[*a].length.value().total_cmp(&ends[*b].length.value()))
    };
    order::nearest_of(view, 0..ends.len()).or_else(shortest).map(|index| &ends[index])
}

/// The end with the least margin of those whose margin is known, or the first that is not known.
fn worst<'a>(budget: &Budget<'a>) -> Option<&'a End> {
    let ends = &budget.view.assessment.ends;
    let worst = order::worst_of(budget.view, 0..ends.len());
    worst.map(|index| &ends[index]).or_else(|| ends.first())
}

/// The tightest ends, tightest first, and behind them those that the head names, if they are not among them.
fn listed<'a>(budget: &Budget<'a>, most: usize) -> Vec<&'a End> {
    let ends = &budget.view.assessment.ends;
    let mut shown: Vec<&End> =
        order::tightest_first(budget.view, most).into_iter().map(|index| &ends[index]).collect();
    for named in [worst(budget), nearest(budget)].into_iter().flatten().filter(|_| most > 0) {
        if !shown.iter().any(|end| std::ptr::eq(*end, named)) {
            shown.push(named);
        }
    }
    shown
}

fn ends(budget: &Budget<'_>, paint: Paint) -> String {
    let view = budget.view;
    let most = budget.most_ends.unwrap_or(usize::MAX);
    let shown = listed(budget, most);
    if shown.is_empty() {
        return String::new();
    }
    let quantile = format!("{}, dB", view.plan.assumptions.confidence);
    let heads = [
        ("end", Lean::Left),
        ("direction", Lean::Left),
        ("nm", Lean::Right),
        ("km", Lean::Right),
        ("least, dB", Lean::Right),
        ("typical, dB", Lean::Right),
        ("worst, dB", Lean::Right),
        (quantile.as_str(), Lean::Right),
        ("allowed, dB", Lean::Right),
        ("margin, dB", Lean::Right),
        ("headroom, dB", Lean::Right),
        ("yield", Lean::Right),
        ("verdict", Lean::Left),
        ("why", Lean::Left),
    ];
    let rows: Vec<Vec<String>> = shown.iter().map(|end| end_row(budget, end)).collect();
    let verdicts: Vec<Verdict> = shown.iter().map(|end| end.verdict).collect();
    let mut text = grid_with_verdicts(&heads, &rows, &verdicts, paint);
    let no_pass = |end: &&End| end.verdict != Verdict::Pass;
    let all = view.assessment.ends.iter().filter(no_pass).count();
    let of_shown = shown.iter().copied().filter(no_pass).count();
    text.push_str(&more_of(view.assessment.ends.len() - shown.len(), all - of_shown, "ends"));
    text.push('\n');
    text
}

fn end_row(budget: &Budget<'_>, end: &End) -> Vec<String> {
    let view = budget.view;
    let pair = view.assessment.pair(end);
    let window = pair.window;
    let known = end.missing.is_none();
    let db = |value: Option<Decibels>| {
        value.map_or_else(|| "?".to_string(), |value| format!("{:.2}", value.value()))
    };
    let loss = |value: Decibels| db(known.then_some(value));
    let allowed = match (window.min, window.max) {
        (None, None) => "?".to_string(),
        (min, max) => format!("{} to {}", db(min), db(max)),
    };
    vec![
        view.port_name(premises_port(end)).to_string(),
        end.direction.word().to_string(),
        pair.band.nominal.to_string().trim_end_matches(" nm").to_string(),
        format!("{:.3}", end.length.value()),
        loss(end.least.rounded_down()),
        loss(end.typical),
        loss(end.most.rounded_up()),
        end.statistics.map_or_else(String::new, |s| format!("{:.2}", s.quantile.rounded_up().value())),
        allowed,
        db(end.margin(&window).map(Decibels::rounded_down)),
        db(end.headroom(&window).map(Decibels::rounded_down)),
        end.statistics.and_then(|s| s.closes).map_or_else(String::new, |p| p.to_string()),
        end.verdict.word().to_string(),
        view.assessment.why(end).join(", "),
    ]
}

pub(super) fn more(left: usize, what: &str) -> String {
    if left == 0 {
        return String::new();
    }
    format!("… and {left} more {what} with more room (--all shows them)\n")
}

/// The same with how many of them are no pass: more room is not enough room.
fn more_of(left: usize, no_pass: usize, what: &str) -> String {
    match (left, no_pass) {
        (0, _) => String::new(),
        (left, 0) => format!("… and {left} more {what}, all of them pass (--all shows them)\n"),
        (left, no_pass) => {
            format!("… and {left} more {what}, {no_pass} of them not a pass (--all shows them)\n")
        }
    }
}

fn findings(budget: &Budget<'_>, paint: Paint) -> String {
    const MOST_FINDINGS: usize = 40;
    if budget.findings.is_empty() {
        return String::new();
    }
    let mut text = format!("{}\n", paint.strong("findings"));
    let alike = order::alike(budget.view, budget.findings);
    for one in alike.iter().take(MOST_FINDINGS) {
        text.push_str(&finding_lines(budget, one, paint));
    }
    let left: usize = alike.iter().skip(MOST_FINDINGS).map(|one| 1 + one.others.len()).sum();
    if left > 0 {
        text.push_str(&format!("… and {left} more findings (--format json has all)\n"));
    }
    text.push('\n');
    text
}

fn finding_lines(budget: &Budget<'_>, alike: &Alike<'_>, paint: Paint) -> String {
    let finding: &Finding = alike.worst;
    let width = budget.width.max(40);
    let severity = paint.severity(finding.severity, finding.severity.word());
    let subject = harmless(&finding.subject) + &and_more(alike.others.len());
    let mut text = format!("  {severity} {} ({subject})\n", finding.rule.id);
    let place = budget.files.describe(finding.origin);
    let indent = "    ";
    let body = [finding.message.clone(), finding.hint.clone(), likewise(alike)];
    for line in body.iter().filter(|line| !line.is_empty()) {
        text.push_str(&format!("{indent}{}\n", wrapped(line, width - 4, indent)));
    }
    if finding.severity > Severity::Note {
        let todo = format!("to do: {}", finding.rule.remedy);
        text.push_str(&format!("{indent}{}\n", wrapped(&todo, width - 4, indent)));
    }
    text.push_str(&format!("{indent}{}\n", paint.faint(&format!("stated at {place}"))));
    text
}

fn and_more(others: usize) -> String {
    if others == 0 { String::new() } else { format!(" and {others} more") }
}

/// The first few of those that have the same fault.
fn likewise(alike: &Alike<'_>) -> String {
    const NAMED: usize = 8;
    if alike.others.is_empty() {
        return String::new();
    }
    let mut subjects: Vec<String> = Vec::new();
    for other in &alike.others {
        let subject = format!("`{}`", harmless(&other.subject));
        if !other.subject.is_empty() && !subjects.contains(&subject) {
            subjects.push(subject);
        }
    }
    let more = subjects.len().saturating_sub(NAMED);
    subjects.truncate(NAMED);
    format!(
        "likewise {}{}: {} findings in all (--format json has each)",
        subjects.join(", "),
        and_more(more),
        alike.others.len() + 1
    )
}

/// Assumptions, tables, cautions.
fn foot(budget: &Budget<'_>, paint: Paint) -> String {
    let width = budget.width.max(40);
    let view = budget.view;
    let mut text = format!("{}\n", paint.strong("assumed"));
    for line in summary::assumptions(view) {
        text.push_str(&format!("  {}\n", wrapped(&line, width - 2, "  ")));
    }
    text.push_str(&format!(
        "{}\n",
        paint.strong("tables used (spanwright tables NAME shows their sources)")
    ));
    let rests = Rests::of_plan(view);
    let said = trust::words(rests.trust());
    text.push_str(&format!("  {}\n", wrapped(&said, width - 2, "    ")));
    let used = summary::tables_used(&rests, budget.files);
    let mut by_table: Vec<(&str, Vec<String>)> = Vec::new();
    for row in used {
        let shown = format!("{} [{}]", row.row, row.provenance);
        match by_table.last_mut() {
            Some((table, rows)) if *table == row.table => rows.push(shown),
            _ => by_table.push((row.table, vec![shown])),
        }
    }
    for (table, rows) in by_table {
        let line = format!("{table}: {}", rows.join(", "));
        text.push_str(&format!("  {}\n", wrapped(&line, width - 2, "    ")));
    }
    text.push_str(&format!("{}\n", paint.strong("caution")));
    for caution in [cautions::LIGHT, cautions::SHELF] {
        text.push_str(&format!("  {}\n", wrapped(caution, width - 2, "  ")));
    }
    text
}
