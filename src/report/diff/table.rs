//! The people's face: what it comes to, what was changed, who moved, what to issue anew.

use std::fmt::Write as _;
use std::io::{self, Write};

use super::{Change, Difference, State};
use crate::report::grid::{Lean, grid, harmless};
use crate::report::paint::Paint;
use crate::units::{Decibels, Probability};

/// Rows of a table that are shown; JSON has all.
const MOST: usize = 40;

/// Writes the difference.
///
/// # Errors
/// Whatever the writer says.
pub fn write(difference: &Difference, paint: Paint, out: &mut impl Write) -> io::Result<()> {
    let mut text = head(difference, paint);
    for (title, columns, rows, left) in sections(difference) {
        let _ = writeln!(text, "\n{}", paint.strong(title));
        let leans: Vec<(&str, Lean)> = columns.iter().map(|(head, lean)| (*head, *lean)).collect();
        text.push_str(&grid(&leans, &rows, paint));
        if left > 0 {
            let _ = writeln!(text, "… and {left} more (--format json has all)");
        }
    }
    out.write_all(text.as_bytes())
}

fn head(difference: &Difference, paint: Paint) -> String {
    let state = |state: &State| {
        let revision = if state.revision.is_empty() {
            "no revision".to_string()
        } else {
            format!("revision {}", state.revision)
        };
        let hash = state.plan_sha256.get(..12).unwrap_or_default();
        let verdict = state.verdict.unwrap_or("no ends");
        format!("{verdict:<10}{}, {} (plan {hash})", harmless(&state.title), harmless(&revision))
    };
    format!(
        "{}\nold  {}\nnew  {}\n{}\n",
        paint.strong(&summary(difference)),
        state(&difference.old),
        state(&difference.new),
        reissue(difference)
    )
}

/// How much differs, in a line.
pub(super) fn summary(difference: &Difference) -> String {
    let count =
        |count: usize, one: &str, many: &str| format!("{count} {}", if count == 1 { one } else { many });
    let changes = count(difference.changes.len(), "change", "changes");
    let moved = count(difference.ends.len(), "end moves", "ends move");
    let verdicts = difference.ends.iter().filter(|end| end.verdict_old != end.verdict_new).count();
    format!("{changes} in the plan; {moved}, {verdicts} of them to another verdict")
}

/// Which sheets must be issued anew.
pub(super) fn reissue(difference: &Difference) -> String {
    let names: Vec<&str> = difference.sheets.iter().map(|sheet| sheet.sheet).collect();
    match (difference.old.plan_sha256 == difference.new.plan_sha256, names.is_empty()) {
        (true, true) => "nothing is to be issued anew: the input is the same".to_string(),
        (false, true) => {
            "no sheet changes but for revision and hash: issue the page and `about` anew".to_string()
        }
        (_, false) => format!("issue anew: the page, about, {}", names.join(", ")),
    }
}

pub(super) type Section = (&'static str, Vec<(&'static str, Lean)>, Vec<Vec<String>>, usize);

/// The tables of both faces for people, with how many rows were left out.
pub(super) fn sections(difference: &Difference) -> Vec<Section> {
    let mut sections = Vec::new();
    let mut add = |title, columns: &[(&'static str, Lean)], rows: Vec<Vec<String>>| {
        if !rows.is_empty() {
            let left = rows.len().saturating_sub(MOST);
            let rows = rows.into_iter().take(MOST).collect();
            sections.push((title, columns.to_vec(), rows, left));
        }
    };
    let (left, right) = (Lean::Left, Lean::Right);
    let what =
        [("what", left), ("id", left), ("change", left), ("field", left), ("old", left), ("new", left)];
    add(
        "changed in the plan",
        &what,
        alike(&difference.changes).iter().flat_map(|few| change_rows(few)).collect(),
    );
    let groups = difference.groups.iter().map(|group| {
        let mut row = vec![group.id.clone(), group.optic.clone()];
        row.extend(two_words(group.verdict_old, group.verdict_new));
        row.extend(two_margins(group.margin_old_db, group.margin_new_db));
        row.extend([shown_yield(group.joint_yield_old), shown_yield(group.joint_yield_new)]);
        row
    });
    let heads = [
        ("PON or link", left),
        ("optic", left),
        ("was", left),
        ("is", left),
        ("margin was, dB", right),
        ("is, dB", right),
        ("gain, dB", right),
        ("all close, was", right),
        ("is", right),
    ];
    add("PONs and links that move", &heads, groups.collect());
    let ends = difference.ends.iter().map(|end| {
        let mut row = vec![end.id.clone(), end.direction.to_string(), format!("{}", end.wavelength_nm)];
        row.extend(two_words(end.verdict_old, end.verdict_new));
        row.extend(two_margins(end.margin_old_db, end.margin_new_db));
        row.extend([shown_yield(end.yield_old), shown_yield(end.yield_new)]);
        row
    });
    let heads = [
        ("end", left),
        ("direction", left),
        ("nm", right),
        ("was", left),
        ("is", left),
        ("margin was, dB", right),
        ("is, dB", right),
        ("gain, dB", right),
        ("yield was", right),
        ("is", right),
    ];
    add("ends that move", &heads, ends.collect());
    let sheets = difference.sheets.iter().map(|sheet| {
        vec![
            sheet.sheet.to_string(),
            sheet.title.to_string(),
            sheet.old_rows.to_string(),
            sheet.new_rows.to_string(),
        ]
    });
    let heads = [("sheet", left), ("title", left), ("rows gone", right), ("rows new", right)];
    add("sheets to issue anew", &heads, sheets.collect());
    sections
}

/// Things that changed alike are named one by one up to here.
const FEW: usize = 4;

/// Neighbors of one kind that changed alike: sixty-four ONTs with another optic are one row and not 64.
fn alike(changes: &[Change]) -> Vec<&[Change]> {
    let same = |a: &Change, b: &Change| a.what == b.what && a.change == b.change && a.fields == b.fields;
    let runs = changes.chunk_by(same);
    runs.flat_map(|run| run.chunks(if run.len() < FEW { 1 } else { run.len() })).collect()
}

/// One row per changed field; one for what was added or removed.
fn change_rows(few: &[Change]) -> Vec<Vec<String>> {
    let [change, rest @ ..] = few else { return Vec::new() };
    let id = match rest.last() {
        None => change.id.clone(),
        Some(last) => format!("{} … {} ({})", change.id, last.id, few.len()),
    };
    let head = [change.what.to_string(), id, change.change.to_string()];
    if change.fields.is_empty() {
        return vec![head.into_iter().chain([String::new(), String::new(), String::new()]).collect()];
    }
    let rows = change.fields.iter().map(|field| {
        let fields = [field.field.to_string(), field.old.clone(), field.new.clone()];
        head.iter().cloned().chain(fields).collect()
    });
    rows.collect()
}

fn two_words(old: Option<&'static str>, new: Option<&'static str>) -> [String; 2] {
    [old.unwrap_or("not there").to_string(), new.unwrap_or("gone").to_string()]
}

/// Before, after, gain: margins rounded down, the gain to the nearest.
fn two_margins(old: Option<f64>, new: Option<f64>) -> [String; 3] {
    let shown = |value: Option<f64>| {
        value.map_or_else(String::new, |value| {
            format!("{:.2}", Decibels::new(value).rounded_down().value())
        })
    };
    let gain = old.zip(new).map_or_else(String::new, |(old, new)| {
        let gain = ((new - old) * 100.0).round() / 100.0 + 0.0;
        format!("{gain:+.2}")
    });
    [shown(old), shown(new), gain]
}

fn shown_yield(value: Option<f64>) -> String {
    value.and_then(Probability::new).map_or_else(String::new, |p| p.to_string())
}
