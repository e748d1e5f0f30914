//! What only the graph can show: points used twice, loops.

use petgraph::graph::NodeIndex;
use petgraph::unionfind::UnionFind;

use super::strands::Clash;
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
    /// One strand of a cable used by two spans that cannot both have it.
    StrandShared {
        /// The cable, as an index into the plan's cable names.
        cable: u16,
        /// The strand.
        strand: u32,
        /// Where it was used first.
        first: Origin,
        /// How the two contradict each other.
        clash: Clash,
        /// The second use.
        origin: Origin,
    },
    /// One strand of a cable used by two spans of which it is not known whether both can have it.
    StrandUnplaced {
        /// The cable, as an index into the plan's cable names.
        cable: u16,
        /// The strand.
        strand: u32,
        /// A point whose place is not stated.
        point: PointRef,
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
