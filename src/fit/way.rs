//! The facts of a way, gathered along the walk of light.

use super::facts::Way;
use crate::plan::usual_grade::is_array;
use crate::plan::{Build, JointKind, Plan, PointRef, Span};
use crate::plant::{Link, Trace};
use crate::tables::Tables;
use crate::units::Kilometers;

/// The facts of the way to one visit of a walk.
pub fn way<'t>(plan: &Plan, tables: &'t Tables, trace: &Trace, visit: u32) -> Way<'t> {
    let steps: Vec<_> = trace.path_to(visit).into_iter().map(|at| trace.visits[at as usize]).collect();
    let spans: Vec<&Span> = steps
        .iter()
        .filter_map(|step| match step.link {
            Some(Link::Span(index)) => plan.spans.get(index as usize),
            _ => None,
        })
        .collect();
    let mut way = Way {
        length: Some(spans.iter().fold(Kilometers::default(), |sum, span| sum + span.length)),
        wdm: Some(steps.iter().any(|step| matches!(step.link, Some(Link::Wdm { .. })))),
        connections: Some(connections(plan, &spans, steps.iter().map(|step| step.point))),
        ..Way::default()
    };
    for span in &spans {
        let fiber = plan.fibers.get(usize::from(span.fiber)).and_then(|name| tables.fibers.get(name));
        if let Some(fiber) =
            fiber.filter(|fiber| way.fibers.last().is_none_or(|last| last.key != fiber.key))
        {
            way.fibers.push(fiber);
        }
    }
    let builds: Vec<&Build> = spans.iter().filter_map(|span| plan.build_of(span)).collect();
    // A pair that is stated fiber by fiber has a second way like this one.
    let sides =
        if steps.iter().any(|step| matches!(step.point, PointRef::PortReceive(_))) { 2 } else { 1 };
    way.strands =
        builds.iter().filter_map(|build| build.fibers).min().map(|fibers| fibers.saturating_mul(sides));
    let conditioned: Vec<bool> = builds.iter().filter_map(|build| build.mode_conditioning).collect();
    way.conditioning_cords =
        (!conditioned.is_empty()).then(|| conditioned.iter().filter(|is| **is).count() as u16);
    way.arrays = arrays(&builds);
    way
}

/// How the array pieces run.
fn arrays(builds: &[&Build]) -> Vec<Option<crate::plan::Polarity>> {
    builds.iter().filter(|build| is_array(build)).map(|build| build.polarity).collect()
}

/// Mated connectors: those counted on the spans and those at the points between them.
fn connections(plan: &Plan, spans: &[&Span], points: impl Iterator<Item = PointRef>) -> u32 {
    let is_connector = |joint: crate::plan::JointUse| {
        matches!(plan.joint_kinds.get(usize::from(joint.0)), Some(JointKind::Connector { .. }))
    };
    let counted: u32 = spans.iter().map(|span| u32::from(span.connectors)).sum();
    let met = points.filter(|point| !crate::plant::is_port(*point));
    counted + met.filter(|point| is_connector(plan.joint_at(*point).0)).count() as u32
}
