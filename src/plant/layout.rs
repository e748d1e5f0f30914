//! Which node stands for which point: by arithmetic, so that a million points need no map.

use petgraph::graph::NodeIndex;
use rustc_hash::FxHashMap;

use crate::plan::{Plan, PointRef, TapLeg};

/// First node of each group of points.
#[derive(Debug, Clone, Default)]
pub(super) struct Layout {
    panels: Vec<u32>,
    cases: Vec<u32>,
    splitters: Vec<u32>,
    splitter_inputs: Vec<u16>,
    taps: u32,
    wdm: Vec<u32>,
    attenuators: u32,
    /// The transmitting and receiving sides of ports, only where a plan names them.
    sides: FxHashMap<PointRef, u32>,
}

impl Layout {
    /// Lays out the points of a plan; returns them in node order.
    pub(super) fn of(plan: &Plan) -> (Self, Vec<PointRef>) {
        let mut points: Vec<PointRef> = (0..plan.ports.len() as u32).map(PointRef::Port).collect();
        let mut layout = Self::default();
        layout.numbered(plan, &mut points);
        layout.devices(plan, &mut points);
        layout.port_sides(plan, &mut points);
        (layout, points)
    }

    fn numbered(&mut self, plan: &Plan, points: &mut Vec<PointRef>) {
        for (index, device) in plan.panels.iter().enumerate() {
            self.panels.push(points.len() as u32);
            let panel = index as u32;
            points.extend((1..=device.positions).map(|number| PointRef::Position { panel, number }));
        }
        for (index, device) in plan.splice_cases.iter().enumerate() {
            self.cases.push(points.len() as u32);
            let case = index as u32;
            points.extend((1..=device.positions).map(|number| PointRef::Splice { case, number }));
        }
        for (index, device) in plan.splitters.iter().enumerate() {
            let splitter = index as u32;
            self.splitters.push(points.len() as u32);
            self.splitter_inputs.push(device.inputs);
            points.extend((1..=device.inputs).map(|input| PointRef::SplitterInput { splitter, input }));
            points.extend((1..=device.legs).map(|leg| PointRef::SplitterLeg { splitter, leg }));
        }
    }

    fn devices(&mut self, plan: &Plan, points: &mut Vec<PointRef>) {
        self.taps = points.len() as u32;
        for tap in 0..plan.taps.len() as u32 {
            let legs = [TapLeg::In, TapLeg::Through, TapLeg::Tap];
            points.extend(legs.map(|leg| PointRef::Tap { tap, leg }));
        }
        for (index, device) in plan.wdm_elements.iter().enumerate() {
            let element = index as u32;
            self.wdm.push(points.len() as u32);
            points.push(PointRef::WdmCommon(element));
            points.extend((0..device.legs.len() as u16).map(|leg| PointRef::WdmLeg { element, leg }));
        }
        self.attenuators = points.len() as u32;
        for attenuator in 0..plan.attenuators.len() as u32 {
            points.extend([false, true].map(|far| PointRef::Attenuator { attenuator, far }));
        }
    }

    fn port_sides(&mut self, plan: &Plan, points: &mut Vec<PointRef>) {
        let spans = plan.spans.iter().flat_map(|span| [span.from, span.to]);
        let joints = plan.joints.iter().flat_map(|joint| [joint.from, joint.to]);
        for point in spans.chain(joints) {
            if matches!(point, PointRef::PortTransmit(_) | PointRef::PortReceive(_)) {
                self.sides.entry(point).or_insert_with(|| {
                    points.push(point);
                    points.len() as u32 - 1
                });
            }
        }
    }

    /// The node of a point that the plan has.
    pub(super) fn node(&self, point: PointRef) -> NodeIndex {
        self.find(point).unwrap_or_else(NodeIndex::end)
    }

    /// The node of a point; `None` for the side of a port that no span names.
    pub(super) fn find(&self, point: PointRef) -> Option<NodeIndex> {
        let index = match point {
            PointRef::Port(port) => port,
            PointRef::PortTransmit(_) | PointRef::PortReceive(_) => *self.sides.get(&point)?,
            PointRef::Position { panel, number } => self.panels.get(panel as usize)? + number - 1,
            PointRef::Splice { case, number } => self.cases.get(case as usize)? + number - 1,
            PointRef::SplitterInput { splitter, input } => {
                self.splitters.get(splitter as usize)? + u32::from(input) - 1
            }
            PointRef::SplitterLeg { splitter, leg } => {
                let inputs = *self.splitter_inputs.get(splitter as usize)?;
                self.splitters.get(splitter as usize)? + u32::from(inputs) + u32::from(leg) - 1
            }
            PointRef::Tap { tap, leg } => self.taps + 3 * tap + leg as u32,
            PointRef::WdmCommon(element) => *self.wdm.get(element as usize)?,
            PointRef::WdmLeg { element, leg } => self.wdm.get(element as usize)? + 1 + u32::from(leg),
            PointRef::Attenuator { attenuator, far } => {
                self.attenuators + 2 * attenuator + u32::from(far)
            }
        };
        Some(NodeIndex::new(index as usize))
    }
}
