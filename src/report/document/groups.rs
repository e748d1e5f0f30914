//! PONs and links as pages list them: what does not work first, then by the least room.

use crate::budget::{End, Group, GroupKind, Verdict};
use crate::check::view::View;
use crate::report::budget::why_of;
use crate::units::{Decibels, Probability};

/// A PON or a link in one line.
#[derive(Debug, Clone)]
pub struct GroupLine<'a> {
    /// Its index in the assessment.
    pub index: usize,
    /// The group.
    pub group: &'a Group,
    /// The OLT port, or the first port of a link.
    pub id: &'a str,
    /// The other port of a link.
    pub far: Option<&'a str>,
    /// The optic of the first port.
    pub optic: &'a str,
    /// Least margin of its ends; `None` where one is not known.
    pub margin: Option<Decibels>,
    /// Least headroom; `None` where one is not known.
    pub headroom: Option<Decibels>,
    /// Probability that all ends close in both directions.
    pub closes: Option<Probability>,
    /// The same with the reserve kept.
    pub keeps_reserve: Option<Probability>,
    /// The worst verdict of its ends.
    pub verdict: Verdict,
    /// The rules that decided the verdict.
    pub why: Vec<&'static str>,
    /// Index of the end with the least margin, in the assessment.
    pub worst: Option<usize>,
    /// Index of the end with the least headroom, or the shortest way where none is known.
    pub nearest: Option<usize>,
}

/// How far an end is from either limit; what is not known counts as no room at all.
pub fn room(view: View<'_>, end: &End) -> f64 {
    let window = view.assessment.pair(end).window;
    let margin = end.margin(&window).map_or(f64::NEG_INFINITY, Decibels::value);
    margin.min(end.headroom(&window).map_or(f64::INFINITY, Decibels::value))
}

/// Indices of all ends, tightest first; equals in the order of the plan.
pub fn ends_by_room(view: View<'_>) -> Vec<usize> {
    let ends = &view.assessment.ends;
    let mut order: Vec<(f64, usize)> = ends.iter().map(|end| room(view, end)).zip(0..).collect();
    order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    order.into_iter().map(|(_, index)| index).collect()
}

/// Every PON and link, in the order of reading.
pub fn group_lines(view: View<'_>) -> Vec<GroupLine<'_>> {
    let groups = view.assessment.groups.iter().enumerate();
    let mut lines: Vec<(f64, GroupLine<'_>)> = groups
        .map(|(index, group)| {
            let ends = &view.assessment.ends[group.ends.clone()];
            let least = ends.iter().map(|end| room(view, end)).fold(f64::INFINITY, f64::min);
            (least, line(view, index, group))
        })
        .collect();
    lines.sort_by(|a, b| {
        b.1.verdict.cmp(&a.1.verdict).then(a.0.total_cmp(&b.0)).then(a.1.index.cmp(&b.1.index))
    });
    lines.into_iter().map(|(_, line)| line).collect()
}

fn line<'a>(view: View<'a>, index: usize, group: &'a Group) -> GroupLine<'a> {
    let ends = &view.assessment.ends[group.ends.clone()];
    let window = |end: &End| view.assessment.pair(end).window;
    let least = |of: &dyn Fn(&End) -> Option<Decibels>| {
        ends.iter().map(of).reduce(|a, b| Some(a?.min(b?))).flatten()
    };
    let margin = |end: &End| end.margin(&window(end));
    let headroom = |end: &End| end.headroom(&window(end));
    let at_least = |measure: &dyn Fn(&End) -> (f64, f64)| {
        let order = |a: &(usize, &End), b: &(usize, &End)| {
            let (a, b) = (measure(a.1), measure(b.1));
            a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1))
        };
        ends.iter().enumerate().min_by(order).map(|(at, _)| group.ends.start + at)
    };
    let number = |value: Option<Decibels>| value.map_or(f64::INFINITY, Decibels::value);
    GroupLine {
        index,
        group,
        id: view.port_name(group.port),
        far: group.far_port.map(|port| view.port_name(port)),
        optic: view.optic_name(group.optic),
        margin: least(&margin),
        headroom: least(&headroom),
        closes: group.joint.map(|joint| joint.both).or_else(|| link_closes(group, ends)),
        keeps_reserve: group.joint.and_then(|joint| joint.with_reserve),
        verdict: view.assessment.verdict_of(group),
        why: why_of(view, group),
        worst: at_least(&|end| (number(margin(end)), -end.length.value())),
        nearest: at_least(&|end| (number(headroom(end)), end.length.value())),
    }
}

/// The least yield of a link's ends: the two directions of a link are not computed together.
fn link_closes(group: &Group, ends: &[End]) -> Option<Probability> {
    if group.kind != GroupKind::Link {
        return None;
    }
    let yields = ends.iter().map(|end| end.statistics.and_then(|s| s.closes));
    yields.reduce(|a, b| (a? <= b?).then_some(a?).or(b)).flatten()
}
