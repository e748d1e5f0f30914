//! PONs and links as the terminal lists them.

use super::table::more;
use super::{Budget, LinkRow, SpareLegsRow, why_of};
use crate::budget::{End, Group, GroupKind, Verdict};
use crate::engine::SpareLegs;
use crate::report::grid::{Lean, grid_with_verdicts};
use crate::report::order;
use crate::report::paint::Paint;
use crate::units::Decibels;

pub(super) fn pons(budget: &Budget<'_>, paint: Paint) -> String {
    let view = budget.view;
    let mut groups: Vec<&Group> =
        view.assessment.groups.iter().filter(|group| group.kind == GroupKind::Pon).collect();
    groups.sort_by(|a, b| order::groups(view, a, b));
    if groups.is_empty() {
        return String::new();
    }
    let mut heads = vec![
        ("PON", Lean::Left),
        ("optic", Lean::Left),
        ("ends", Lean::Right),
        ("near, km", Lean::Right),
        ("far, km", Lean::Right),
        ("margin, dB", Lean::Right),
        ("headroom, dB", Lean::Right),
        ("all close", Lean::Right),
    ];
    if has_reserve(budget) {
        heads.push(("with reserve", Lean::Right));
    }
    heads.push(("verdict", Lean::Left));
    heads.push(("why", Lean::Left));
    let most = budget.most_ends.unwrap_or(usize::MAX);
    let mut rows: Vec<_> = groups.iter().map(|group| pon_row(budget, group)).collect();
    let left = rows.len().saturating_sub(most);
    rows.truncate(most);
    let verdicts: Vec<Verdict> = rows.iter().map(|(verdict, _)| *verdict).collect();
    let rows: Vec<Vec<String>> = rows.into_iter().map(|(_, row)| row).collect();
    let mut text = grid_with_verdicts(&heads, &rows, &verdicts, paint);
    if let Some(lines) = cross_checks(budget, &groups) {
        text.push_str(&lines);
    }
    text.push_str(&more(left, "PONs"));
    text.push('\n');
    text
}

pub(super) fn links(budget: &Budget<'_>, paint: Paint) -> String {
    let view = budget.view;
    let mut links: Vec<&Group> =
        view.assessment.groups.iter().filter(|group| group.kind == GroupKind::Link).collect();
    links.sort_by(|a, b| order::groups(view, a, b));
    let mut rows: Vec<(Verdict, LinkRow<'_>)> = links
        .iter()
        .map(|group| (view.assessment.verdict_of(group), LinkRow::of(view, group)))
        .collect();
    if rows.is_empty() {
        return String::new();
    }
    let heads = [
        ("link", Lean::Left),
        ("optic", Lean::Left),
        ("km", Lean::Right),
        ("margin, dB", Lean::Right),
        ("headroom, dB", Lean::Right),
        ("verdict", Lean::Left),
        ("why", Lean::Left),
    ];
    let most = budget.most_ends.unwrap_or(usize::MAX);
    let left = rows.len().saturating_sub(most);
    rows.truncate(most);
    let cells = |row: &LinkRow<'_>| {
        vec![
            format!("{} to {}", row.from, row.to),
            row.optic.to_string(),
            row.length_km.map_or_else(|| "?".to_string(), |km| format!("{km:.3}")),
            down(row.margin_db),
            down(row.headroom_db),
            row.verdict.to_string(),
            row.why.join(", "),
        ]
    };
    let verdicts: Vec<Verdict> = rows.iter().map(|(verdict, _)| *verdict).collect();
    let cells: Vec<Vec<String>> = rows.iter().map(|(_, row)| cells(row)).collect();
    let mut text = grid_with_verdicts(&heads, &cells, &verdicts, paint);
    text.push_str(&more(left, "links"));
    text.push('\n');
    text
}

/// Spare legs, the tightest first.
pub(super) fn spare_legs(budget: &Budget<'_>, paint: Paint) -> String {
    if budget.spare_legs.is_empty() {
        return String::new();
    }
    let heads = [
        ("spare legs of", Lean::Left),
        ("free", Lean::Right),
        ("margin, dB", Lean::Right),
        ("headroom, dB", Lean::Right),
        ("verdict", Lean::Left),
    ];
    let mut legs: Vec<&SpareLegs> = budget.spare_legs.iter().collect();
    let room = |legs: &SpareLegs| legs.margin.map_or(f64::NEG_INFINITY, Decibels::value);
    legs.sort_by(|a, b| b.verdict.cmp(&a.verdict).then(room(a).total_cmp(&room(b))));
    let most = budget.most_ends.unwrap_or(usize::MAX);
    let left = legs.len().saturating_sub(most);
    legs.truncate(most);
    let verdicts: Vec<Verdict> = legs.iter().filter_map(|legs| legs.verdict).collect();
    let cells: Vec<Vec<String>> = legs
        .iter()
        .map(|legs| {
            let row = SpareLegsRow::of(budget.view, legs);
            vec![
                row.splitter.to_string(),
                row.free.to_string(),
                down(row.margin_db),
                down(row.headroom_db),
                row.verdict.to_string(),
            ]
        })
        .collect();
    let mut text = grid_with_verdicts(&heads, &cells, &verdicts, paint);
    text.push_str(&more(left, "splitters"));
    text.push('\n');
    text
}

/// A margin cut down to hundredths; `?` where it is not known.
fn down(value: Option<f64>) -> String {
    value.map_or_else(
        || "?".to_string(),
        |value| format!("{:.2}", Decibels::new(value).rounded_down().value()),
    )
}

fn pon_row(budget: &Budget<'_>, group: &Group) -> (Verdict, Vec<String>) {
    let view = budget.view;
    let ends = &view.assessment.ends[group.ends.clone()];
    let least = |of: fn(&End, &crate::budget::Window) -> Option<Decibels>| {
        if ends.is_empty() {
            return None;
        }
        ends.iter()
            .map(|end| of(end, &view.assessment.pair(end).window))
            .try_fold(f64::INFINITY, |low, value| value.map(|value| low.min(value.value())))
    };
    let shown = |value: Option<f64>| {
        value.map_or_else(
            || "?".to_string(),
            |value| format!("{:.2}", Decibels::new(value).rounded_down().value()),
        )
    };
    let (margin, headroom) = (least(End::margin), least(End::headroom));
    let verdict = view.assessment.verdict_of(group);
    let km = |pick: fn((crate::units::Kilometers, crate::units::Kilometers)) -> f64| {
        group.lengths.map_or_else(|| "?".to_string(), |lengths| format!("{:.3}", pick(lengths)))
    };
    let mut row = vec![
        view.port_name(group.port).to_string(),
        view.optic_name(group.optic).to_string(),
        group.served.to_string(),
        km(|(near, _)| near.value()),
        km(|(_, far)| far.value()),
        shown(margin),
        shown(headroom),
        group.joint.map_or_else(String::new, |joint| joint.both.to_string()),
    ];
    if has_reserve(budget) {
        let kept = group.joint.and_then(|joint| joint.with_reserve);
        row.push(kept.map_or_else(String::new, |p| p.to_string()));
    }
    row.push(verdict.word().to_string());
    row.push(why_of(view, group).join(", "));
    (verdict, row)
}

/// Whether a reserve is asked, so that the yield with it is worth a column.
fn has_reserve(budget: &Budget<'_>) -> bool {
    budget.view.plan.assumptions.reserve > Decibels::ZERO
}

fn cross_checks(budget: &Budget<'_>, groups: &[&Group]) -> Option<String> {
    let lines: Vec<String> = groups
        .iter()
        .filter_map(|group| {
            let (joint, check) = (group.joint?, group.cross_check?);
            Some(format!(
                "cross-check of `{}`: computed {:.6}, sampled {:.6} ± {:.6} ({} trials, seed {})\n",
                budget.view.port_name(group.port),
                joint.both.value(),
                check.estimate.value(),
                check.standard_error,
                check.trials,
                check.seed
            ))
        })
        .collect();
    (!lines.is_empty()).then(|| lines.concat())
}
