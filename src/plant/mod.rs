//! The plant as a graph: nodes are connection points, edges are what joins them.
//!
//! Holds: the petgraph model built from a plan, the rules by which light walks through it, and the
//! faults that only the graph can show (a point used twice, a loop).
//! Must not know: losses, levels, findings, text.
//! Start reading at [`Plant::build`] and [`Plant::trace`]. All walks are iterative: a chain of a
//! million spans must not exhaust the stack.

mod faults;
mod layout;
mod strands;
mod trace;

use petgraph::graph::{EdgeIndex, NodeIndex, UnGraph};
use petgraph::visit::EdgeRef;

pub use faults::Fault;
pub use strands::{Clash, unlike_lengths};
pub use trace::{Trace, Tracer, Visit};

use crate::plan::{Plan, PointRef, TapLeg};
use layout::Layout;

/// An edge of the plant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Link {
    /// A span, by index.
    Span(u32),
    /// Two devices joined directly, by index of the joint.
    Direct(u32),
    /// Through a splitter, from an input to a leg.
    Splitter {
        /// Index of the splitter.
        splitter: u32,
        /// Leg, from 1.
        leg: u16,
    },
    /// Through a tap, from its input to one leg.
    Tap {
        /// Index of the tap.
        tap: u32,
        /// Which leg.
        leg: TapLeg,
    },
    /// Through a wdm element, between its common port and one leg.
    Wdm {
        /// Index of the element.
        element: u32,
        /// Index of the leg.
        leg: u16,
    },
    /// Through an attenuator, by index.
    Attenuator(u32),
}

impl Link {
    /// Whether the edge lies within a device (a span or a direct joint lies outside).
    pub const fn is_internal(self) -> bool {
        !matches!(self, Self::Span(_) | Self::Direct(_))
    }
}

/// The graph of a plan.
#[derive(Debug, Clone)]
pub struct Plant {
    graph: UnGraph<PointRef, Link, u32>,
    layout: Layout,
}

impl Plant {
    /// Builds the graph and names what contradicts itself in it.
    ///
    /// Points that a plan refers to must exist (the reader sees to that). A span that would use a
    /// taken point is left out of the graph and reported.
    pub fn build(plan: &Plan) -> (Self, Vec<Fault>) {
        let mut plant = Self::with_devices(plan);
        let mut faults = Vec::new();
        let mut uses = faults::Uses::new(&plant);
        for (index, span) in plan.spans.iter().enumerate() {
            let link = Link::Span(index as u32);
            plant.connect((span.from, span.to), link, span.origin, &mut uses, &mut faults);
        }
        for (index, joint) in plan.joints.iter().enumerate() {
            let link = Link::Direct(index as u32);
            plant.connect((joint.from, joint.to), link, joint.origin, &mut uses, &mut faults);
        }
        faults::find_loops(&plant, plan, &mut faults);
        strands::find(plan, &mut faults);
        (plant, faults)
    }

    /// Nodes of all devices and the edges within them.
    fn with_devices(plan: &Plan) -> Self {
        let (layout, points) = Layout::of(plan);
        let inside: usize =
            plan.splitters.iter().map(|s| usize::from(s.inputs) * usize::from(s.legs)).sum();
        let mut graph = UnGraph::with_capacity(points.len(), inside + plan.spans.len());
        for point in points {
            graph.add_node(point);
        }
        let mut plant = Self { graph, layout };
        plant.splitter_edges(plan);
        plant.other_edges(plan);
        plant
    }

    fn splitter_edges(&mut self, plan: &Plan) {
        for (index, device) in plan.splitters.iter().enumerate() {
            let splitter = index as u32;
            for input in 1..=device.inputs {
                let from = self.layout.node(PointRef::SplitterInput { splitter, input });
                for leg in 1..=device.legs {
                    let to = self.layout.node(PointRef::SplitterLeg { splitter, leg });
                    self.graph.add_edge(from, to, Link::Splitter { splitter, leg });
                }
            }
        }
    }

    fn other_edges(&mut self, plan: &Plan) {
        for tap in 0..plan.taps.len() as u32 {
            let from = self.layout.node(PointRef::Tap { tap, leg: TapLeg::In });
            for leg in [TapLeg::Through, TapLeg::Tap] {
                let to = self.layout.node(PointRef::Tap { tap, leg });
                self.graph.add_edge(from, to, Link::Tap { tap, leg });
            }
        }
        for (index, device) in plan.wdm_elements.iter().enumerate() {
            let element = index as u32;
            let from = self.layout.node(PointRef::WdmCommon(element));
            for leg in 0..device.legs.len() as u16 {
                let to = self.layout.node(PointRef::WdmLeg { element, leg });
                self.graph.add_edge(from, to, Link::Wdm { element, leg });
            }
        }
        for attenuator in 0..plan.attenuators.len() as u32 {
            let side = |far| PointRef::Attenuator { attenuator, far };
            let (a, b) = (self.layout.node(side(false)), self.layout.node(side(true)));
            self.graph.add_edge(a, b, Link::Attenuator(attenuator));
        }
    }

    fn connect(
        &mut self,
        ends: (PointRef, PointRef),
        link: Link,
        origin: crate::place::Origin,
        uses: &mut faults::Uses,
        faults: &mut Vec<Fault>,
    ) {
        if ends.0 == ends.1 {
            faults.push(Fault::EndsMeet { point: ends.0, origin });
            return;
        }
        let nodes = [self.layout.node(ends.0), self.layout.node(ends.1)];
        if uses.take(self, nodes, origin, faults) {
            self.graph.add_edge(nodes[0], nodes[1], link);
        }
    }

    /// The node of a point, if the plan uses it (the sides of a port only where a span names them).
    pub(crate) fn find(&self, point: PointRef) -> Option<NodeIndex> {
        self.layout.find(point)
    }

    /// The point of a node.
    pub(crate) fn point(&self, node: NodeIndex) -> PointRef {
        self.graph[node]
    }

    /// The link of an edge.
    pub(crate) fn link(&self, edge: EdgeIndex) -> Link {
        self.graph[edge]
    }

    /// How many points there are.
    pub fn points(&self) -> usize {
        self.graph.node_count()
    }

    /// How many links there are.
    pub fn links(&self) -> usize {
        self.graph.edge_count()
    }

    /// Whether a span or joint is attached to a point.
    pub fn is_attached(&self, point: PointRef) -> bool {
        self.find(point)
            .is_some_and(|node| self.graph.edges(node).any(|edge| !edge.weight().is_internal()))
    }

    /// The edges at a node with their far nodes.
    fn edges(&self, node: NodeIndex) -> impl Iterator<Item = (EdgeIndex, Link, NodeIndex)> + '_ {
        self.graph.edges(node).map(move |edge| {
            let far = if edge.source() == node { edge.target() } else { edge.source() };
            (edge.id(), *edge.weight(), far)
        })
    }
}

/// Whether fiber simply runs through a point from one span to the next.
pub(crate) const fn runs_through(point: PointRef) -> bool {
    matches!(point, PointRef::Position { .. } | PointRef::Splice { .. })
}

/// Whether light starts and ends at a point.
pub(crate) const fn is_port(point: PointRef) -> bool {
    matches!(point, PointRef::Port(_) | PointRef::PortTransmit(_) | PointRef::PortReceive(_))
}
