//! The grade of a connector of which nobody says one.

use std::collections::BTreeSet;

use super::{Build, EndConnectors, JointKind, JointUse, Plan, PointRef, Span};
use crate::tables::{FiberKind, Tables};

/// The grade that is taken on single-mode fiber: 0.5 dB at most (IEC 61755-1; common practice).
pub const SINGLE_MODE: &str = "C";
/// The grade that is taken on multimode fiber: 0.75 dB at most (TIA-568.3), of which two leave the
/// channels of IEEE 802.3 possible, whose limits are made for 1.5 dB of connectors.
pub const MULTIMODE: &str = "TIA-0.75";
/// The grade that is taken of array connectors (TIA-568.3).
pub const ARRAY: &str = "MPO";

/// The usual grade on a kind of fiber; `array`: the connectors are arrays of fibers.
pub fn usual_grade(kind: FiberKind, array: bool) -> &'static str {
    match kind {
        FiberKind::Multimode if array => ARRAY,
        FiberKind::Multimode => MULTIMODE,
        FiberKind::SingleMode => SINGLE_MODE,
    }
}

/// Whether a span is an array piece: of a stated polarity, with array plugs, or of more than two fibers.
pub fn is_array(build: &Build) -> bool {
    build.polarity.is_some()
        || build.fibers.is_some_and(|fibers| fibers > 2)
        || build.plugs.iter().any(|plug| plug.is_array() == Some(true))
}

/// Gives every connector whose grade is empty the usual one of the fiber that it stands on, and notes in
/// the assumptions which grades are taken so. A coupling goes by the spans that end at it. The
/// connectors at the equipment are one kind in a plan: on mixed fiber, where they are counted, they lose
/// what those on multimode fiber do.
pub fn settle(plan: &mut Plan, tables: &Tables) {
    let open: Vec<Option<String>> = plan.joint_kinds.iter().map(polish_of_open).collect();
    if open.iter().all(Option::is_none) {
        return;
    }
    let multimode: Vec<bool> = plan
        .fibers
        .iter()
        .map(|name| tables.fibers.get(name).is_some_and(|row| row.value.kind == FiberKind::Multimode))
        .collect();
    let is_multimode = |span: &Span| multimode.get(usize::from(span.fiber)).copied().unwrap_or(false);
    let any = plan.spans.iter().any(is_multimode);
    let all = any && plan.spans.iter().all(is_multimode);
    let mut settling = Settling { open, assumed: BTreeSet::new() };
    if any {
        for index in 0..plan.spans.len() {
            if is_multimode(&plan.spans[index]) {
                settling.span(plan, index);
            }
        }
    }
    let counted = plan.assumptions.end_connectors == EndConnectors::Counted;
    let ports = settling.joint(plan, plan.port_joint, MULTIMODE, counted && any);
    if let Some(joint) = ports.filter(|_| all || (any && counted)) {
        plan.port_joint = joint;
    }
    settling.rest(plan, if all { MULTIMODE } else { SINGLE_MODE });
    plan.assumptions.usual_grades = settling.assumed.into_iter().collect();
}

/// The polish of a connector without a grade.
fn polish_of_open(kind: &JointKind) -> Option<String> {
    match kind {
        JointKind::Connector { grade, polish } if grade.is_empty() => Some(polish.clone()),
        _ => None,
    }
}

struct Settling {
    /// The polish of each kind of joint that is a connector without a grade.
    open: Vec<Option<String>>,
    /// Grades that count somewhere and were not stated.
    assumed: BTreeSet<&'static str>,
}

impl Settling {
    fn is_open(&self, joint: JointUse) -> bool {
        self.open.get(usize::from(joint.0)).is_some_and(Option::is_some)
    }

    /// The kind of joint to take for an open one; `None` for one of which the grade is stated.
    fn joint(
        &mut self,
        plan: &mut Plan,
        joint: JointUse,
        grade: &'static str,
        counts: bool,
    ) -> Option<JointUse> {
        let polish = self.open.get(usize::from(joint.0))?.clone()?;
        if counts {
            self.assumed.insert(grade);
        }
        Some(plan.joint_kind(JointKind::Connector { grade: grade.to_string(), polish }))
    }

    fn span(&mut self, plan: &mut Plan, index: usize) {
        let span = &plan.spans[index];
        let (from, to, connector, counts) = (span.from, span.to, span.connector, span.connectors > 0);
        let grade = usual_grade(FiberKind::Multimode, plan.build_of(span).is_some_and(is_array));
        if let Some(joint) = self.joint(plan, connector, grade, counts) {
            plan.spans[index].connector = joint;
        }
        // The connectors at ports are one kind of the whole plan.
        let at_port = |point| {
            matches!(point, PointRef::Port(_) | PointRef::PortTransmit(_) | PointRef::PortReceive(_))
        };
        for point in [from, to].into_iter().filter(|point| !at_port(*point)) {
            let joint = plan.joint_at(point).0;
            if let Some(joint) = self.joint(plan, joint, grade, true) {
                set_joint(plan, point, joint);
            }
        }
    }

    /// All that is still open.
    fn rest(&mut self, plan: &mut Plan, grade: &'static str) {
        let spans = plan.spans.iter().filter(|span| span.connectors > 0).map(|span| span.connector);
        let mut joints = spans
            .chain(plan.panels.iter().map(|panel| panel.joint))
            .chain(plan.splitters.iter().map(|splitter| splitter.joint))
            .chain(plan.taps.iter().map(|tap| tap.joint))
            .chain(plan.wdm_elements.iter().map(|element| element.joint))
            .chain(plan.attenuators.iter().map(|attenuator| attenuator.joint))
            .chain(plan.joints.iter().map(|joint| joint.joint));
        let counted = plan.assumptions.end_connectors == EndConnectors::Counted;
        if joints.any(|joint| self.is_open(joint)) || (counted && self.is_open(plan.port_joint)) {
            self.assumed.insert(grade);
        }
        for (kind, polish) in plan.joint_kinds.iter_mut().zip(&self.open) {
            if let Some(polish) = polish.clone() {
                *kind = JointKind::Connector { grade: grade.to_string(), polish };
            }
        }
    }
}

/// Gives the device of a point another joint; those of ports and splices are none of their own.
fn set_joint(plan: &mut Plan, point: PointRef, joint: JointUse) {
    match point {
        PointRef::Position { panel, .. } => plan.panels[panel as usize].joint = joint,
        PointRef::SplitterInput { splitter, .. } | PointRef::SplitterLeg { splitter, .. } => {
            plan.splitters[splitter as usize].joint = joint;
        }
        PointRef::Tap { tap, .. } => plan.taps[tap as usize].joint = joint,
        PointRef::WdmCommon(element) | PointRef::WdmLeg { element, .. } => {
            plan.wdm_elements[element as usize].joint = joint;
        }
        PointRef::Attenuator { attenuator, .. } => {
            plan.attenuators[attenuator as usize].joint = joint;
        }
        PointRef::Port(_)
        | PointRef::PortTransmit(_)
        | PointRef::PortReceive(_)
        | PointRef::Splice { .. } => {}
    }
}
