//! PONs and links: ends that belong together.

use std::ops::Range;

use super::{Assessment, Direction, End, Pairs};
use crate::units::{Decibels, Kilometers, Probability};

/// What a group is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GroupKind {
    /// One system of one OLT port with all its ONUs.
    Pon,
    /// Two ports facing each other.
    Link,
}

/// Joint yields of a PON.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JointYields {
    /// Probability that every end closes downstream.
    pub downstream: Probability,
    /// Probability that every end closes upstream.
    pub upstream: Probability,
    /// Probability that every end closes in both directions, the losses of an element at the two
    /// wavelengths being fully dependent.
    pub both: Probability,
    /// The same with the design reserve kept by every end; `None` without a reserve.
    pub with_reserve: Option<Probability>,
    /// Bound on the error of these probabilities that the lattice makes.
    pub error_bound: f64,
    /// Mean number of ends that do not close (in one direction or the other).
    pub expected_failures: f64,
}

/// The sampled counterpart of a joint yield.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CrossCheck {
    /// Share of trials in which every end closed.
    pub estimate: Probability,
    /// Its standard error.
    pub standard_error: f64,
    /// How many trials.
    pub trials: u32,
    /// The seed.
    pub seed: u64,
}

/// A PON or a link.
#[derive(Debug, Clone, PartialEq)]
pub struct Group {
    /// PON or link.
    pub kind: GroupKind,
    /// The OLT port, or the first port of a link.
    pub port: u32,
    /// The other port of a link.
    pub far_port: Option<u32>,
    /// The OLT's optic, or the first port's.
    pub optic: u16,
    /// Its ends, as a range of [`super::Assessment::ends`].
    pub ends: Range<usize>,
    /// How many receiving ports at the premises (PON), or 1 (link).
    pub served: u32,
    /// Least and greatest fiber length.
    pub lengths: Option<(Kilometers, Kilometers)>,
    /// Greatest difference of worst-case loss to least loss between two ends, per direction: the
    /// burst receiver must bridge it upstream.
    pub loss_spread: [Option<Decibels>; 2],
    /// Joint yields, when statistics were asked for and nothing is missing.
    pub joint: Option<JointYields>,
    /// The sampled counterpart of the joint yield in both directions.
    pub cross_check: Option<CrossCheck>,
}

impl Group {
    /// Difference between the farthest and the nearest end.
    pub fn differential_reach(&self) -> Option<Kilometers> {
        self.lengths.map(|(near, far)| far - near)
    }
}

/// Joins the ends of each two ports that face each other into links. The ends of PONs stand first
/// in no particular place, so links are gathered by their ports and moved behind the PONs.
pub(super) fn links(assessment: &mut Assessment, pairs: &Pairs) {
    if assessment.ends.iter().all(|end| is_pon(end.direction)) {
        return;
    }
    let (mut pon, mut link): (Vec<End>, Vec<End>) =
        assessment.ends.drain(..).partition(|end| is_pon(end.direction));
    let ports = |end: &End| {
        let (a, b) = (end.transmitter, end.receiver);
        (a.min(b), a.max(b))
    };
    link.sort_by_key(|end| (ports(end), end.direction, end.pair));
    renumber(&mut assessment.groups, &pon);
    let mut at = 0;
    while at < link.len() {
        let these = ports(&link[at]);
        let count = link[at..].iter().take_while(|end| ports(end) == these).count();
        let group = assessment.groups.len() as u32;
        link[at..at + count].iter_mut().for_each(|end| end.group = group);
        let first = pon.len() + at;
        assessment.groups.push(link_group(these, &link[at..at + count], first, pairs));
        at += count;
    }
    pon.append(&mut link);
    assessment.ends = pon;
}

fn is_pon(direction: Direction) -> bool {
    matches!(direction, Direction::Downstream | Direction::Upstream)
}

/// Ranges of the PONs once the ends of links no longer stand between them.
fn renumber(groups: &mut [Group], ends: &[End]) {
    let mut start = 0;
    for (index, group) in groups.iter_mut().enumerate() {
        let count = ends[start..].iter().take_while(|end| end.group == index as u32).count();
        group.ends = start..start + count;
        start += count;
    }
}

fn link_group(ports: (u32, u32), ends: &[End], first: usize, pairs: &Pairs) -> Group {
    let of_first = |end: &End| {
        let pair = pairs.pairs.get(end.pair as usize)?;
        Some(if end.transmitter == ports.0 { pair.transmitter } else { pair.receiver })
    };
    let optic = ends.first().and_then(of_first).unwrap_or_default();
    let length = ends.iter().map(|end| end.length);
    let lengths = length.clone().reduce(Kilometers::min).zip(length.reduce(Kilometers::max));
    Group {
        kind: GroupKind::Link,
        port: ports.0,
        far_port: Some(ports.1),
        optic,
        ends: first..first + ends.len(),
        served: 1,
        lengths,
        loss_spread: [None, None],
        joint: None,
        cross_check: None,
    }
}
