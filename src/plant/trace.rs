//! The walk of light from one point to wherever it arrives.

use petgraph::graph::{EdgeIndex, NodeIndex};

use super::{Link, Plant, is_port, runs_through};
use crate::plan::PointRef;

/// One point that light reaches.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Visit {
    /// The point.
    pub point: PointRef,
    /// Index of the visit before it; the first visit is its own parent.
    pub parent: u32,
    /// The link that was crossed to get here; the first visit has none.
    pub link: Option<Link>,
}

/// Where light from one point goes: a tree in which every visit comes after its parent.
#[derive(Debug, Clone, Default)]
pub struct Trace {
    /// The points in the order of the walk.
    pub visits: Vec<Visit>,
    /// Points that light reached a second time: it runs in a loop or over two ways.
    pub reached_twice: Vec<PointRef>,
}

impl Trace {
    /// The visits from the start to one of them, in order.
    pub fn path_to(&self, visit: u32) -> Vec<u32> {
        let mut path = vec![visit];
        let mut at = visit;
        while at != 0 {
            at = self.visits[at as usize].parent;
            path.push(at);
        }
        path.reverse();
        path
    }
}

/// Memory that walks reuse: one per thread.
#[derive(Debug, Clone)]
pub struct Tracer {
    seen: Vec<u32>,
    walk: u32,
    stack: Vec<Step>,
}

/// A node to go to, and how the walk gets there.
#[derive(Debug, Clone, Copy)]
struct Step {
    node: NodeIndex,
    edge: EdgeIndex,
    parent: u32,
    internal: bool,
}

impl Tracer {
    /// Memory for walks through a plant.
    pub fn new(plant: &Plant) -> Self {
        Self { seen: vec![0; plant.points()], walk: 0, stack: Vec::new() }
    }
}

impl Plant {
    /// Walks from `start` to every port that light reaches.
    ///
    /// Light never leaves a point by the side it came in: through a panel position or a splice it
    /// goes on to the other span, through a device from the outside to the inside or back. So the
    /// legs of a splitter never see each other. `passes` decides for the leg of a wdm element.
    /// A point reached twice is noted and not walked again.
    pub fn trace(
        &self,
        start: PointRef,
        passes: impl Fn(u32, u16) -> bool,
        tracer: &mut Tracer,
    ) -> Trace {
        let mut trace = Trace::default();
        let Some(node) = self.find(start) else { return trace };
        tracer.walk += 1;
        tracer.stack.clear();
        tracer.seen[node.index()] = tracer.walk;
        trace.visits.push(Visit { point: start, parent: 0, link: None });
        self.push_next(node, None, 0, &passes, tracer);
        while let Some(step) = tracer.stack.pop() {
            let point = self.point(step.node);
            if tracer.seen[step.node.index()] == tracer.walk {
                trace.reached_twice.push(point);
                continue;
            }
            tracer.seen[step.node.index()] = tracer.walk;
            let index = trace.visits.len() as u32;
            trace.visits.push(Visit { point, parent: step.parent, link: Some(self.link(step.edge)) });
            if !is_port(point) {
                self.push_next(step.node, Some(step), index, &passes, tracer);
            }
        }
        trace
    }

    /// Pushes where light goes from a node that it came to by `arrival`.
    fn push_next(
        &self,
        node: NodeIndex,
        arrival: Option<Step>,
        parent: u32,
        passes: &impl Fn(u32, u16) -> bool,
        tracer: &mut Tracer,
    ) {
        let through = runs_through(self.point(node));
        let first = tracer.stack.len();
        for (edge, link, far) in self.edges(node) {
            let internal = link.is_internal();
            let open = match arrival {
                None => !internal,
                Some(step) if through => edge != step.edge,
                Some(step) => internal != step.internal,
            };
            let lit = !matches!(link, Link::Wdm { element, leg } if !passes(element, leg));
            if open && lit {
                tracer.stack.push(Step { node: far, edge, parent, internal });
            }
        }
        // petgraph lists the youngest edge first, and the stack turns the order once more: legs are
        // walked in ascending order, which keeps results in the order of the plan.
        tracer.stack[first..].sort_by_key(|step| std::cmp::Reverse(step.edge.index()));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Origin;
    use crate::plan::{JointUse, Plan, Port, PortKind, Span, Splitter};
    use crate::plant::Fault;
    use crate::units::Kilometers;

    fn port(plan: &mut Plan, name: &str) -> PointRef {
        let name = plan.names.intern(name);
        let origin = Origin::COMMAND_LINE;
        plan.ports.push(Port {
            name,
            kind: PortKind::Ont,
            place: None,
            fitting: None,
            optics: None,
            connected: true,
            origin,
        });
        PointRef::Port(plan.ports.len() as u32 - 1)
    }

    fn span(plan: &mut Plan, from: PointRef, to: PointRef) {
        plan.spans.push(Span {
            from,
            to,
            length: Kilometers::new(1.0),
            fiber: 0,
            splice: JointUse(0),
            splices: 0,
            connector: JointUse(0),
            connectors: 0,
            reels: 1,
            kind: crate::plan::SpanKind::Cable,
            outside: true,
            measured: None,
            build: None,
            cable: None,
            strand: 0,
            origin: Origin::COMMAND_LINE,
        });
    }

    fn splitter(plan: &mut Plan, name: &str, inputs: u16, legs: u16) -> u32 {
        plan.splitters.push(Splitter {
            name: plan.names.intern(name),
            place: None,
            inputs,
            legs,
            kind: "1x4".into(),
            joint: JointUse(0),
            measured: None,
            origin: Origin::COMMAND_LINE,
        });
        plan.splitters.len() as u32 - 1
    }

    fn reached(plant: &Plant, plan: &Plan, from: PointRef) -> Vec<String> {
        let trace = plant.trace(from, |_, _| true, &mut Tracer::new(plant));
        trace.visits.iter().filter(|v| is_port(v.point)).map(|v| plan.point_name(v.point)).collect()
    }

    #[test]
    fn legs_of_a_splitter_do_not_see_each_other() {
        let mut plan = Plan::default();
        let olt = port(&mut plan, "olt");
        let s = splitter(&mut plan, "s", 1, 4);
        span(&mut plan, olt, PointRef::SplitterInput { splitter: s, input: 1 });
        let homes: Vec<_> = (1..=3).map(|leg| (leg, port(&mut plan, &format!("home-{leg}")))).collect();
        for (leg, home) in &homes {
            span(&mut plan, PointRef::SplitterLeg { splitter: s, leg: *leg }, *home);
        }
        let (plant, faults) = Plant::build(&plan);
        assert_eq!(faults, []);
        assert_eq!(reached(&plant, &plan, olt), ["olt", "home-1", "home-2", "home-3"]);
        assert_eq!(reached(&plant, &plan, homes[1].1), ["home-2", "olt"]);
    }

    #[test]
    fn both_inputs_of_a_two_input_splitter_reach_every_leg() {
        let mut plan = Plan::default();
        let (a, b) = (port(&mut plan, "olt-a"), port(&mut plan, "olt-b"));
        let s = splitter(&mut plan, "s", 2, 4);
        span(&mut plan, a, PointRef::SplitterInput { splitter: s, input: 1 });
        span(&mut plan, b, PointRef::SplitterInput { splitter: s, input: 2 });
        let home = port(&mut plan, "home");
        span(&mut plan, PointRef::SplitterLeg { splitter: s, leg: 4 }, home);
        let (plant, faults) = Plant::build(&plan);
        assert_eq!(faults, []);
        assert_eq!(reached(&plant, &plan, a), ["olt-a", "home"]);
        assert_eq!(reached(&plant, &plan, home), ["home", "olt-a", "olt-b"]);
    }

    #[test]
    fn a_leg_used_twice_and_a_loop_are_named() {
        let mut plan = Plan::default();
        let s = splitter(&mut plan, "s", 1, 4);
        let t = splitter(&mut plan, "t", 1, 4);
        let leg = |splitter, leg| PointRef::SplitterLeg { splitter, leg };
        let input = |splitter| PointRef::SplitterInput { splitter, input: 1 };
        span(&mut plan, leg(s, 1), input(t));
        span(&mut plan, leg(t, 1), input(s));
        let home = port(&mut plan, "home");
        span(&mut plan, leg(s, 1), home);
        let (_, faults) = Plant::build(&plan);
        assert!(matches!(faults[0], Fault::Taken { takes: 1, .. }));
        assert!(matches!(faults[1], Fault::Loop { .. }));
        assert_eq!(faults.len(), 2);
    }

    #[test]
    fn a_chain_of_a_hundred_thousand_spans_is_walked() {
        let mut plan = Plan::default();
        let first = port(&mut plan, "a");
        let last = port(&mut plan, "b");
        plan.splice_cases.push(crate::plan::SpliceCase {
            name: plan.names.intern("case"),
            place: None,
            positions: 100_000,
            joint: JointUse(0),
            measured: None,
            origin: Origin::COMMAND_LINE,
        });
        let splice = |number| PointRef::Splice { case: 0, number };
        span(&mut plan, first, splice(1));
        for number in 1..100_000 {
            span(&mut plan, splice(number), splice(number + 1));
        }
        span(&mut plan, splice(100_000), last);
        let (plant, faults) = Plant::build(&plan);
        assert_eq!(faults, []);
        assert_eq!(reached(&plant, &plan, first), ["a", "b"]);
    }
}
