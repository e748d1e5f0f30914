//! What only the graph can show: points used twice, loops, strands sold twice.

use petgraph::graph::NodeIndex;
use petgraph::unionfind::UnionFind;
use rustc_hash::FxHashMap;

use super::{Link, Plant, runs_through};
use crate::place::Origin;
use crate::plan::{Plan, PointRef};

/// A contradiction in the plant.
#[derive(Debug, Clone, PartialEq)]
pub enum Fault {
    /// A span whose two ends are the same point.
    EndsMeet {
        /// The point.
        point: PointRef,
        /// The span.
        origin: Origin,
    },
    /// A point that more fiber ends are put to than it takes.
    Taken {
        /// The point.
        point: PointRef,
        /// How many ends it takes: 1, or 2 for a panel position or a splice.
        takes: u8,
        /// Where it was used first.
        first: Origin,
        /// The use that is too much.
        origin: Origin,
    },
    /// A span or joint that closes a loop.
    Loop {
        /// One end of what closes it.
        from: PointRef,
        /// The other end.
        to: PointRef,
        /// The span or joint that closes it.
        origin: Origin,
    },
    /// One strand of a cable used by two spans between the same two places.
    StrandShared {
        /// The cable, as an index into the plan's cable names.
        cable: u16,
        /// The strand.
        strand: u32,
        /// Where it was used first.
        first: Origin,
        /// The second use.
        origin: Origin,
    },
}

/// Who uses a point, while the graph is built.
pub(super) struct Uses {
    count: Vec<u8>,
    first: Vec<Origin>,
}

impl Uses {
    pub(super) fn new(plant: &Plant) -> Self {
        let points = plant.points();
        Self { count: vec![0; points], first: vec![Origin::COMMAND_LINE; points] }
    }

    /// Takes both points for one span; `false`, with a fault, if one of them is taken already.
    pub(super) fn take(
        &mut self,
        plant: &Plant,
        nodes: [NodeIndex; 2],
        origin: Origin,
        faults: &mut Vec<Fault>,
    ) -> bool {
        let mut free = true;
        for node in nodes {
            let point = plant.point(node);
            let takes = if runs_through(point) { 2 } else { 1 };
            let index = node.index();
            if self.count[index] >= takes {
                faults.push(Fault::Taken { point, takes, first: self.first[index], origin });
                free = false;
            }
        }
        if free {
            for node in nodes {
                let index = node.index();
                if self.count[index] == 0 {
                    self.first[index] = origin;
                }
                self.count[index] += 1;
            }
        }
        free
    }
}

/// Loops of spans and joints, with every device but a wdm element taken as one point (the legs of a
/// 2xN splitter are legitimately joined to both inputs; a wdm element keeps wavelengths apart, so a
/// loop through one is only a loop if light walks it, which the walk itself notices).
pub(super) fn find_loops(plant: &Plant, plan: &Plan, faults: &mut Vec<Fault>) {
    let mut joined = UnionFind::<u32>::new(plant.points());
    for edge in plant.graph.edge_indices() {
        let Some((a, b)) = plant.graph.edge_endpoints(edge) else { continue };
        let (a, b) = (a.index() as u32, b.index() as u32);
        match plant.graph[edge] {
            Link::Splitter { .. } | Link::Tap { .. } | Link::Attenuator(_) => {
                joined.union(a, b);
            }
            Link::Wdm { .. } => {}
            Link::Span(index) => {
                if !joined.union(a, b) {
                    let span = &plan.spans[index as usize];
                    faults.push(Fault::Loop { from: span.from, to: span.to, origin: span.origin });
                }
            }
            Link::Direct(index) => {
                if !joined.union(a, b) {
                    let joint = &plan.joints[index as usize];
                    faults.push(Fault::Loop { from: joint.from, to: joint.to, origin: joint.origin });
                }
            }
        }
    }
}

/// A strand may appear span after span along its cable; twice between the same two places it cannot.
pub(super) fn find_shared_strands(plan: &Plan, faults: &mut Vec<Fault>) {
    type Stretch = (u16, u32, u64, u64);
    let mut seen: FxHashMap<Stretch, usize> = FxHashMap::default();
    for (index, span) in plan.spans.iter().enumerate() {
        let Some(cable) = span.cable.filter(|_| span.strand > 0) else { continue };
        let (a, b) = (whereabouts(plan, span.from), whereabouts(plan, span.to));
        let stretch = (cable, span.strand, a.min(b), a.max(b));
        let Some(before) = seen.insert(stretch, index) else { continue };
        let first = &plan.spans[before];
        // Spans that meet at a point are one strand carried on, there and back between two places.
        let carried_on = [span.from, span.to].iter().any(|end| *end == first.from || *end == first.to);
        if !carried_on {
            let (strand, origin) = (span.strand, span.origin);
            faults.push(Fault::StrandShared { cable, strand, first: first.origin, origin });
        }
    }
}

/// The place of a point if stated, else the device it belongs to.
fn whereabouts(plan: &Plan, point: PointRef) -> u64 {
    const DEVICE: u64 = 1 << 40;
    const KIND: u64 = 1 << 33;
    let (kind, index) = match point {
        PointRef::Port(i) | PointRef::PortTransmit(i) | PointRef::PortReceive(i) => (0, i),
        PointRef::Position { panel: i, .. } => (1, i),
        PointRef::Splice { case: i, .. } => (2, i),
        PointRef::SplitterInput { splitter: i, .. } | PointRef::SplitterLeg { splitter: i, .. } => {
            (3, i)
        }
        PointRef::Tap { tap: i, .. } => (4, i),
        PointRef::WdmCommon(i) | PointRef::WdmLeg { element: i, .. } => (5, i),
        PointRef::Attenuator { attenuator: i, .. } => (6, i),
    };
    let device = DEVICE + kind * KIND + u64::from(index);
    plan.place_of(point).map_or(device, u64::from)
}
