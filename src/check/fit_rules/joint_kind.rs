//! `fit.joint-kind`: a connector grade for another kind of fiber.

use std::collections::BTreeMap;

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::loss::ElementRef;
use crate::plan::{JointKind, JointUse, Span};
use crate::tables::FiberKind;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.joint-kind",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a connector grade stands on another kind of fiber than it is made for",
    why: "the loss of a single-mode grade says nothing of a multimode joint, nor the reverse: the sum is wrong",
    remedy: "name a grade for the fiber (`spanwright tables connectors` lists their kinds)",
    source: "IEC 61755-1 (single-mode grades) and IEC 61755-6 (multimode grades), from memory",
};

/// Hits of the rule in a judged plan: one for each grade and fiber type.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut met: BTreeMap<(u16, JointUse), Vec<usize>> = BTreeMap::new();
    for (index, span) in view.plan.spans.iter().enumerate() {
        for joint in joints(view, span) {
            met.entry((span.fiber, joint)).or_default().push(index);
        }
    }
    for ((fiber, joint), spans) in met {
        let (first, count) = (spans[0], spans.len());
        let Some((grade, made_for, kind)) = unlike(view, fiber, joint) else { continue };
        let name = crate::check::words::element(view.plan, ElementRef::Span(first as u32));
        let more = if count > 1 { format!(" and {} more joints", count - 1) } else { String::new() };
        let message = format!(
            "grade `{grade}` is for {} fiber, and {name}{more} is {} (`{}`)",
            made_for.word(),
            kind.word(),
            view.plan.fibers[usize::from(fiber)],
        );
        findings.push(
            RULE.hit(view.plan.spans[first].origin, name, message)
                .about_points(spans.iter().map(|span| view.plan.spans[*span].from)),
        );
    }
}

/// The joints that are made on a span: those counted on it and the couplings at its ends.
fn joints(view: &View<'_>, span: &Span) -> impl Iterator<Item = JointUse> {
    let counted = (span.connectors > 0).then_some(span.connector);
    let ends = [span.from, span.to].into_iter().filter(|point| !crate::plant::is_port(*point));
    let couplings: Vec<JointUse> = ends.map(|point| view.plan.joint_at(point).0).collect();
    counted.into_iter().chain(couplings)
}

/// A grade and a fiber that do not go together, with the kinds of both.
fn unlike<'a>(view: &View<'a>, fiber: u16, joint: JointUse) -> Option<(&'a str, FiberKind, FiberKind)> {
    let JointKind::Connector { grade, .. } = view.plan.joint_kinds.get(usize::from(joint.0))? else {
        return None;
    };
    let kind = view.tables.fibers.get(&view.plan.fibers[usize::from(fiber)])?.value.kind;
    let made_for = view.tables.connectors.get(grade)?.value.kind?;
    (made_for != kind).then_some((grade.as_str(), made_for, kind))
}
