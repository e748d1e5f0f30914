//! The one order in which ends, PONs and links are listed, and which of them is the worst.
//!
//! The tightest comes first: what is not known, then by the lesser of margin and headroom. Of equals (to a
//! millionth of a decibel) the one with the longer fiber comes first, then the one that the plan states first.
//! All faces ask here, so that none names another end than the next.

use std::cmp::Ordering;

use crate::budget::{End, Group};
use crate::check::Finding;
use crate::check::view::View;
use crate::units::Decibels;

/// Differences below this are the noise of sums, dB.
const HAIR_DB: f64 = 1e-6;

/// How far an end is from either limit; what is not known counts as no room at all.
pub fn room(view: View<'_>, end: &End) -> f64 {
    let window = view.assessment.pair(end).window;
    let margin = end.margin(&window).map_or(f64::NEG_INFINITY, Decibels::value);
    margin.min(end.headroom(&window).map_or(f64::INFINITY, Decibels::value))
}

/// Compares two figures in decibels, noise aside.
pub fn by_decibels(a: f64, b: f64) -> Ordering {
    let kept = |value: f64| if value.is_finite() { (value / HAIR_DB).round() } else { value };
    kept(a).total_cmp(&kept(b))
}

/// Compares two ends, given as their figure, their end and their place in the plan.
fn tighter(a: (f64, &End, usize), b: (f64, &End, usize)) -> Ordering {
    let longer = b.1.length.value().total_cmp(&a.1.length.value());
    by_decibels(a.0, b.0).then(longer).then(a.2.cmp(&b.2))
}

/// Indices of the `most` tightest ends, tightest first. Of a million ends only the few that are asked for
/// are sorted.
pub fn tightest_first(view: View<'_>, most: usize) -> Vec<usize> {
    let ends = &view.assessment.ends;
    let mut order: Vec<(f64, usize)> = ends.iter().map(|end| room(view, end)).zip(0..).collect();
    let compare =
        |a: &(f64, usize), b: &(f64, usize)| tighter((a.0, &ends[a.1], a.1), (b.0, &ends[b.1], b.1));
    if most < order.len() {
        order.select_nth_unstable_by(most, compare);
        order.truncate(most);
    }
    order.sort_by(compare);
    order.into_iter().map(|(_, index)| index).collect()
}

/// Index of the end of a range with the least margin of those whose margin is known.
pub fn worst_of(view: View<'_>, range: std::ops::Range<usize>) -> Option<usize> {
    least(view, range, |end| end.margin(&view.assessment.pair(end).window))
}

/// Index of the end of a range with the least headroom of those whose headroom is known.
pub fn nearest_of(view: View<'_>, range: std::ops::Range<usize>) -> Option<usize> {
    least(view, range, |end| end.headroom(&view.assessment.pair(end).window))
}

fn least(
    view: View<'_>,
    range: std::ops::Range<usize>,
    figure: impl Fn(&End) -> Option<Decibels>,
) -> Option<usize> {
    let ends = &view.assessment.ends;
    let known = range.filter_map(|index| Some((figure(&ends[index])?.value(), &ends[index], index)));
    known.min_by(|a, b| tighter(*a, *b)).map(|(_, _, index)| index)
}

/// Compares two PONs or links: what does not work first, then the tightest, then as the plan states them.
pub fn groups(view: View<'_>, a: &Group, b: &Group) -> Ordering {
    let least = |group: &Group| {
        let ends = &view.assessment.ends[group.ends.clone()];
        ends.iter().map(|end| room(view, end)).fold(f64::INFINITY, f64::min)
    };
    let verdict = |group: &Group| view.assessment.verdict_of(group);
    verdict(b)
        .cmp(&verdict(a))
        .then_with(|| by_decibels(least(a), least(b)))
        .then(a.ends.start.cmp(&b.ends.start))
        .then(a.port.cmp(&b.port))
}

/// Findings of one kind, the one about the tightest end first.
pub struct Alike<'f> {
    /// The one that is named.
    pub worst: &'f Finding,
    /// The others, in the order of the findings.
    pub others: Vec<&'f Finding>,
}

/// Gathers findings of one rule and severity where there are many of them; few stay on their own.
pub fn alike<'f>(view: View<'_>, findings: &'f [Finding]) -> Vec<Alike<'f>> {
    const FEW: usize = 3;
    let mut kinds: Vec<Vec<&Finding>> = Vec::new();
    let mut known = rustc_hash::FxHashMap::default();
    for finding in findings {
        let key = (finding.rule.id, finding.severity);
        let at = *known.entry(key).or_insert_with(|| {
            kinds.push(Vec::new());
            kinds.len() - 1
        });
        kinds[at].push(finding);
    }
    let many = |finding: &Finding| known.get(&(finding.rule.id, finding.severity)).copied();
    let mut told = vec![false; kinds.len()];
    let mut list = Vec::new();
    for finding in findings {
        let Some(at) = many(finding) else { continue };
        if kinds[at].len() <= FEW {
            list.push(Alike { worst: finding, others: Vec::new() });
        } else if !std::mem::replace(&mut told[at], true) {
            let worst = worst_first(view, &kinds[at]);
            list.push(Alike { worst: worst[0], others: worst[1..].to_vec() });
        }
    }
    list
}

/// Findings of one kind with the one about the tightest end in front; the others keep their order.
pub fn worst_first<'f>(view: View<'_>, findings: &[&'f Finding]) -> Vec<&'f Finding> {
    let ends = &view.assessment.ends;
    let least = |finding: &&Finding| {
        let rooms = finding.about.ends.iter().map(|index| room(view, &ends[*index as usize]));
        rooms.fold(f64::INFINITY, f64::min)
    };
    let first = findings.iter().enumerate().min_by(|a, b| by_decibels(least(a.1), least(b.1)));
    let Some((first, worst)) = first else { return Vec::new() };
    let others =
        findings.iter().enumerate().filter(|(index, _)| *index != first).map(|(_, other)| *other);
    std::iter::once(*worst).chain(others).collect()
}
