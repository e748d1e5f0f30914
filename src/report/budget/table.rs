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
    let measure = |end: &End| {
        let headroom = end.headroom(&view.assessment.pair(end).window).map(Decibels::value);
        (headroom.unwrap_or(f64::INFINITY), end.length.value())
    };
    view.assessment.ends.iter().filter(|end| end.missing.is_none()).min_by(|a, b| {
        let (a, b) = (measure(a), measure(b));
        a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
    })
}

/// The `most` tightest ends, tightest first: what cannot be judged, then by the lesser of margin and
/// headroom; equals in the order of the plan. Of a million ends only the few that are shown are sorted.
fn tightest_first<'a>(budget: &Budget<'a>, most: usize) -> Vec<&'a End> {
    let view = budget.view;
    let room = |end: &End| {
        let window = view.assessment.pair(end).window;
        let margin = end.margin(&window).map_or(f64::NEG_INFINITY, Decibels::value);
        margin.min(end.headroom(&window).map_or(f64::INFINITY, Decibels::value))
    };
    let ends = &view.assessment.ends;
    let mut order: Vec<(f64, usize)> = ends.iter().map(room).zip(0..).collect();
    let tighter = |a: &(f64, usize), b: &(f64, usize)| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1));
    if most < order.len() {
        order.select_nth_unstable_by(most, tighter);
        order.truncate(most);
    }
    order.sort_by(tighter);
    order.into_iter().map(|(_, index)| &ends[index]).collect()
}

/// The end with the least margin of those whose margin is known, or the first that is not known.
fn worst<'a>(budget: &Budget<'a>) -> Option<&'a End> {
    let view = budget.view;
    let margin = |end: &&End| end.margin(&view.assessment.pair(end).window).map(Decibels::value);
    let known = view.assessment.ends.iter().filter(|end| margin(end).is_some());
    let least = known.min_by(|a, b| {
        let of = |end: &&End| margin(end).unwrap_or(f64::INFINITY);
        of(a).total_cmp(&of(b))
    });
    least.or_else(|| view.assessment.ends.first())
}

fn ends(budget: &Budget<'_>, paint: Paint) -> String {
    let view = budget.view;
    let most = budget.most_ends.unwrap_or(usize::MAX);
    let shown = tightest_first(budget, most);
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
    for finding in budget.findings.iter().take(MOST_FINDINGS) {
        text.push_str(&finding_lines(budget, finding, paint));
    }
    let left = budget.findings.len().saturating_sub(MOST_FINDINGS);
    if left > 0 {
        text.push_str(&format!("… and {left} more findings (--format json has all)\n"));
    }
    text.push('\n');
    text
}

fn finding_lines(budget: &Budget<'_>, finding: &Finding, paint: Paint) -> String {
    let width = budget.width.max(40);
    let severity = paint.severity(finding.severity, finding.severity.word());
    let subject = harmless(&finding.subject);
    let mut text = format!("  {severity} {} ({subject})\n", finding.rule.id);
    let place = budget.files.describe(finding.origin);
    let indent = "    ";
    let body = [finding.message.clone(), finding.hint.clone()];
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
