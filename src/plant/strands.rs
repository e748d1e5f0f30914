//! A strand of a cable is one thing: what a plan says of it span by span must go together.

use std::ops::Range;

use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;

use super::Fault;
use crate::plan::{Plan, PointRef, PortKind, Span};

/// How two uses of a strand contradict each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Clash {
    /// Both run between the same two places.
    Between,
    /// Both leave the place of this point.
    Leaves(PointRef),
    /// Both end at the place of this point.
    Arrives(PointRef),
    /// It leaves or ends at the place of this point a third time.
    Thrice(PointRef),
}

/// One strand on one span.
#[derive(Clone, Copy)]
struct Use {
    span: u32,
    /// Where its ends are: a place, or a device whose place is not stated.
    at: [u64; 2],
}

/// Finds what is said of one strand and cannot be true of one strand. A span with several fibers uses as
/// many strands, from the stated one on.
///
/// A strand has two ends in every section of its cable: at a place it may come in and go out, no more.
/// What leads on through one point, or into a device and out of it, is one strand carried on.
pub(super) fn find(plan: &Plan, faults: &mut Vec<Fault>) {
    let mut told: Vec<(u32, u32)> = Vec::new();
    for (strand, spans) in strands(plan) {
        let uses: Vec<Use> = spans
            .iter()
            .map(|span| Use {
                span: *span,
                at: ends(&plan.spans[*span as usize]).map(|end| at(plan, end)),
            })
            .collect();
        // Both strands of a duplex span have one story.
        let story = |fault: &Fault| match *fault {
            Fault::StrandShared { first, origin, .. } | Fault::StrandUnplaced { first, origin, .. } => {
                (first.start, origin.start)
            }
            _ => (0, 0),
        };
        let mut found = clashes(plan, strand, &uses);
        if found.is_empty() {
            found.extend(unplaced(plan, strand, &uses));
        }
        found.retain(|fault| !told.contains(&story(fault)));
        told.extend(found.iter().map(story));
        faults.extend(found);
        told.drain(..told.len().saturating_sub(64));
    }
}

fn ends(span: &Span) -> [PointRef; 2] {
    [span.from, span.to]
}

/// Strands that more than one span uses, each with its spans in the order of the plan.
fn strands(plan: &Plan) -> impl Iterator<Item = ((u16, u32), Vec<u32>)> {
    let mut all: Vec<(u16, u32, u32)> = Vec::new();
    for (index, span) in plan.spans.iter().enumerate() {
        let Some(cable) = span.cable.filter(|_| span.strand > 0) else { continue };
        all.extend(used_strands(plan, span).map(|strand| (cable, strand, index as u32)));
    }
    all.sort_unstable();
    let strands = all.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)).filter(|uses| uses.len() > 1);
    let shared = strands.map(|uses| ((uses[0].0, uses[0].1), uses.iter().map(|one| one.2).collect()));
    shared.collect::<Vec<_>>().into_iter()
}

/// The strands that a span uses.
fn used_strands(plan: &Plan, span: &Span) -> Range<u32> {
    let build = span.build.and_then(|index| plan.builds.get(usize::from(index)));
    let fibers = build.and_then(|build| build.fibers).unwrap_or(1).max(1);
    span.strand..span.strand.saturating_add(u32::from(fibers))
}

fn clashes(plan: &Plan, (cable, strand): (u16, u32), uses: &[Use]) -> Vec<Fault> {
    let mut found = Vec::new();
    let mut blamed: Vec<u32> = Vec::new();
    let mut blame = |first: u32, second: u32, clash: Clash| {
        if !blamed.contains(&second) {
            blamed.push(second);
            let (first, origin) =
                (plan.spans[first as usize].origin, plan.spans[second as usize].origin);
            found.push(Fault::StrandShared { cable, strand, first, clash, origin });
        }
    };
    let mut stretches: FxHashMap<[u64; 2], u32> = FxHashMap::default();
    // By place: the spans that are there with one end, and which end it is.
    let mut there: FxHashMap<u64, Vec<(u32, usize)>> = FxHashMap::default();
    for one in uses {
        let mut stretch = one.at;
        stretch.sort_unstable();
        let span = &plan.spans[one.span as usize];
        match stretches.get(&stretch) {
            Some(&first) if !meet(&plan.spans[first as usize], span) => {
                blame(first, one.span, Clash::Between);
                continue;
            }
            Some(_) => {}
            None => {
                stretches.insert(stretch, one.span);
            }
        }
        for (end, point) in ends(span).into_iter().enumerate() {
            let here = there.entry(one.at[end]).or_default();
            match here[..] {
                [] => {}
                [(first, other)] => {
                    if other == end && !meet(&plan.spans[first as usize], span) {
                        let clash = if end == 0 { Clash::Leaves } else { Clash::Arrives };
                        blame(first, one.span, clash(point));
                    }
                }
                [(first, _), ..] => blame(first, one.span, Clash::Thrice(point)),
            }
            here.push((one.span, end));
        }
    }
    found
}

/// Whether two spans meet at a point: one strand carried on.
fn meet(a: &Span, b: &Span) -> bool {
    ends(a).iter().any(|end| ends(b).contains(end))
}

/// A strand in two stretches that do not meet, where it is not stated in what place one of them begins or
/// ends: it may be one strand used twice.
fn unplaced(plan: &Plan, (cable, strand): (u16, u32), uses: &[Use]) -> Option<Fault> {
    let mut stretches = UnionFind::<u32>::new(uses.len());
    let mut at_point: FxHashMap<PointRef, u32> = FxHashMap::default();
    let mut through: FxHashMap<u64, [Option<u32>; 2]> = FxHashMap::default();
    for (index, one) in uses.iter().enumerate() {
        let index = index as u32;
        for (end, point) in ends(&plan.spans[one.span as usize]).into_iter().enumerate() {
            if let Some(other) = at_point.insert(point, index) {
                stretches.union(index, other);
            }
            // Into a device or place by one span, out of it by the next.
            let here = through.entry(one.at[end]).or_default();
            here[end] = Some(index);
            if let [Some(out), Some(into)] = *here {
                stretches.union(out, into);
            }
        }
    }
    let first = uses.first()?;
    let apart = (1..uses.len() as u32).find(|other| !stretches.equiv(0, *other))?;
    let other = uses[apart as usize];
    let open = [other, *first].into_iter().find_map(|one| {
        let span = &plan.spans[one.span as usize];
        ends(span)
            .into_iter()
            .find(|end| plan.place_of(*end).is_none())
            .map(|point| (point, span.origin))
    });
    let (point, _) = open?;
    let (first, origin) =
        (plan.spans[first.span as usize].origin, plan.spans[other.span as usize].origin);
    Some(Fault::StrandUnplaced { cable, strand, point, first, origin })
}

/// The place of a point if stated, else the device it belongs to: the shelf of a port.
fn at(plan: &Plan, point: PointRef) -> u64 {
    const DEVICE: u64 = 1 << 40;
    const KIND: u64 = 1 << 33;
    if let Some(place) = plan.place_of(point) {
        return u64::from(place);
    }
    let (kind, index) = match point {
        PointRef::Port(i) | PointRef::PortTransmit(i) | PointRef::PortReceive(i) => shelf(plan, i),
        PointRef::Position { panel: i, .. } => (1, i),
        PointRef::Splice { case: i, .. } => (2, i),
        PointRef::SplitterInput { splitter: i, .. } | PointRef::SplitterLeg { splitter: i, .. } => {
            (3, i)
        }
        PointRef::Tap { tap: i, .. } => (4, i),
        PointRef::WdmCommon(i) | PointRef::WdmLeg { element: i, .. } => (5, i),
        PointRef::Attenuator { attenuator: i, .. } => (6, i),
    };
    DEVICE + kind * KIND + u64::from(index)
}

/// The shelf of a port, by the id that its name begins with; an ONT stands for itself.
fn shelf(plan: &Plan, port: u32) -> (u64, u32) {
    let device = &plan.ports[port as usize];
    let name = plan.names.get(device.name);
    match name.split_once('/').filter(|_| device.kind == PortKind::Equipment) {
        Some((shelf, _)) => (7, plan.names.find(shelf).map_or(port, |id| id.0)),
        None => (0, port),
    }
}

/// Strands of one cable between the same two places whose lengths differ by more than `factor`: each
/// cable and pair of places with the shortest and the longest span.
pub fn unlike_lengths(plan: &Plan, factor: f64) -> Vec<[u32; 2]> {
    let mut all: Vec<(u16, [u32; 2], u32)> = Vec::new();
    for (index, span) in plan.spans.iter().enumerate() {
        let Some(cable) = span.cable else { continue };
        let (Some(a), Some(b)) = (plan.place_of(span.from), plan.place_of(span.to)) else { continue };
        if a != b {
            all.push((cable, [a.min(b), a.max(b)], index as u32));
        }
    }
    all.sort_unstable();
    let length = |one: &(u16, [u32; 2], u32)| plan.spans[one.2 as usize].length.value();
    let mut found: Vec<[u32; 2]> = Vec::new();
    for stretch in all.chunk_by(|a, b| (a.0, a.1) == (b.0, b.1)).filter(|spans| spans.len() > 1) {
        let by_length =
            |a: &&(u16, [u32; 2], u32), b: &&(u16, [u32; 2], u32)| length(a).total_cmp(&length(b));
        if let (Some(short), Some(long)) =
            (stretch.iter().min_by(by_length), stretch.iter().max_by(by_length))
            && length(long) > factor * length(short)
        {
            found.push([short.2, long.2]);
        }
    }
    found
}
