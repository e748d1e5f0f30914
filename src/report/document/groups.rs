//! PONs and links as pages list them: what does not work first, then by the least room.

use crate::budget::{End, Group, GroupKind, Verdict};
use crate::check::view::View;
use crate::report::budget::why_of;
use crate::report::order;
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

/// Every PON and link, in the order of reading.
pub fn group_lines(view: View<'_>) -> Vec<GroupLine<'_>> {
    let groups = view.assessment.groups.iter().enumerate();
    let mut lines: Vec<GroupLine<'_>> = groups.map(|(index, group)| line(view, index, group)).collect();
    lines.sort_by(|a, b| order::groups(view, a.group, b.group).then(a.index.cmp(&b.index)));
    lines
}

fn line<'a>(view: View<'a>, index: usize, group: &'a Group) -> GroupLine<'a> {
    let ends = &view.assessment.ends[group.ends.clone()];
    let window = |end: &End| view.assessment.pair(end).window;
    let least = |of: &dyn Fn(&End) -> Option<Decibels>| {
        ends.iter().map(of).reduce(|a, b| Some(a?.min(b?))).flatten()
    };
    let margin = |end: &End| end.margin(&window(end));
    let headroom = |end: &End| end.headroom(&window(end));
    let first = || (!group.ends.is_empty()).then_some(group.ends.start);
    let shortest = || {
        let length = |index: &usize| view.assessment.ends[*index].length.value();
        group.ends.clone().min_by(|a, b| length(a).total_cmp(&length(b)).then(a.cmp(b)))
    };
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
        worst: order::worst_of(view, group.ends.clone()).or_else(first),
        nearest: order::nearest_of(view, group.ends.clone()).or_else(shortest),
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
