//! Where end faces meet in a plan, and the rules about them.

use rustc_hash::FxHashMap;

use super::fit_rules::{MATING_RULES, Outcome, polish_mixed};
use super::plan_facts::Judgement;
use super::view::View;
use super::{Finding, Rule};
use crate::fit::facts::Mating;
use crate::plan::{JointKind, Plug, PointRef, Span};

/// Faces of joints: the polish that a coupling or a pigtail was stated to have.
struct Faces {
    of_joints: Vec<Plug>,
}

/// A plug at one end of a span.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct PlugOf {
    span: u32,
    end: u8,
}

/// The cords of a plan by the points where they end, for asking about one port after the other.
pub struct Cords<'a> {
    view: View<'a>,
    faces: Faces,
    /// Empty where nothing is said of any cord.
    at: FxHashMap<PointRef, Vec<u32>>,
}

impl<'a> Cords<'a> {
    /// The cords of a plan.
    pub fn of(view: View<'a>) -> Self {
        let mut at: FxHashMap<PointRef, Vec<u32>> = FxHashMap::default();
        let said = !view.plan.builds.is_empty();
        for (index, span) in view.plan.spans.iter().enumerate().filter(|_| said) {
            for point in [span.from, span.to] {
                at.entry(point).or_default().push(index as u32);
            }
        }
        Self { view, faces: Faces::of(&view), at }
    }

    fn touching(&self, points: &[PointRef]) -> Vec<u32> {
        let mut spans: Vec<u32> =
            points.iter().filter_map(|point| self.at.get(point)).flatten().copied().collect();
        spans.sort_unstable();
        spans.dedup();
        spans
    }

    /// What every rule about end faces says of the places where the cords of a port end, with the
    /// place.
    pub fn of_port(&self, port: u32) -> Vec<(Judgement, String)> {
        let mut at =
            vec![PointRef::Port(port), PointRef::PortTransmit(port), PointRef::PortReceive(port)];
        let own = self.touching(&at).into_iter().map(|span| &self.view.plan.spans[span as usize]);
        at.extend(own.flat_map(|span| [span.from, span.to]));
        let mut judged = Vec::new();
        let spans = self.touching(&at);
        each(&self.view, &self.faces, (&spans, &|point| at.contains(&point)), &mut |mating, _| {
            for one in MATING_RULES.iter().filter(|one| applies(one.rule, mating)) {
                let outcome = (one.judge)(mating, self.view.tables);
                judged.push((Judgement { rule: one.rule, outcome }, mating.at.clone()));
            }
        });
        if judged.is_empty() {
            let outcome = Outcome::Missing("the plugs of the cords");
            let missing =
                MATING_RULES.iter().map(|one| Judgement { rule: one.rule, outcome: outcome.clone() });
            judged.extend(missing.map(|judgement| (judgement, String::new())));
        }
        judged
    }
}

/// Runs the rules about end faces; places with the same fault share one finding.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    if view.plan.builds.is_empty() {
        return;
    }
    let faces = Faces::of(view);
    let mut met: FxHashMap<(&'static str, String), usize> = FxHashMap::default();
    let mut found: Vec<(Finding, u32)> = Vec::new();
    let spans: Vec<u32> = (0..view.plan.spans.len() as u32).collect();
    each(view, &faces, (&spans, &|_| true), &mut |mating, origin| {
        for one in MATING_RULES.iter().filter(|one| applies(one.rule, mating)) {
            let Outcome::Hit { message, hint } = (one.judge)(mating, view.tables) else { continue };
            // What differs from place to place is where it is, not what is wrong.
            let kind = (one.rule.id, format!("{} {}", mating.first.words(), mating.second.words()));
            match met.get(&kind) {
                Some(at) => found[*at].1 += 1,
                None => {
                    met.insert(kind, found.len());
                    let message = format!("at `{}`: {message}", mating.at);
                    found.push((one.rule.hit(origin, mating.at.clone(), message).hint(hint), 0));
                }
            }
        }
    });
    findings.extend(found.into_iter().map(|(mut finding, more)| {
        if more > 0 {
            finding.message += &format!(" (and at {more} more places)");
        }
        finding
    }));
}

/// Whether a rule is asked about a mating: where the coupling's polish is stated, each plug is compared
/// with the coupling and not once more with the plug on the other side.
fn applies(rule: &'static Rule, mating: &Mating<'_>) -> bool {
    !mating.through_adapter || rule.id != polish_mixed::RULE.id
}

impl Faces {
    fn of(view: &View<'_>) -> Self {
        let face = |kind: &JointKind| match kind {
            JointKind::Connector { polish, .. } if !polish.is_empty() => {
                Plug { polish: Some(polish.clone()), ..Plug::default() }
            }
            _ => Plug::default(),
        };
        Self { of_joints: view.plan.joint_kinds.iter().map(face).collect() }
    }
}

/// Calls `with` for every two faces that meet at some points and of which something is stated. `spans`
/// are those that end there, in the order of the plan.
fn each(
    view: &View<'_>,
    faces: &Faces,
    (spans, concerns): (&[u32], &impl Fn(PointRef) -> bool),
    with: &mut impl FnMut(&Mating<'_>, crate::place::Origin),
) {
    let mut plugs: FxHashMap<PointRef, PlugOf> = FxHashMap::default();
    for (index, span) in spans.iter().map(|index| (*index, &view.plan.spans[*index as usize])) {
        let Some(build) = view.plan.build_of(span) else { continue };
        for (end, point) in [span.from, span.to].into_iter().enumerate() {
            let plug = &build.plugs[end];
            if plug.is_unstated() || !concerns(point) {
                continue;
            }
            let at = || view.plan.point_name(point);
            let first_of = format!("the plug of the span {}", span_name(view, span));
            let mating = |second_of: String, second, through_adapter| Mating {
                at: at(),
                first_of: first_of.clone(),
                first: plug,
                second_of,
                second,
                through_adapter,
            };
            let (face, of) = opposite(view, faces, point);
            if let Some(face) = face {
                with(&mating(of.clone(), face, false), span.origin);
            }
            let this = PlugOf { span: index, end: end as u8 };
            if let Some(other) = plugs.insert(point, this) {
                let other_span = &view.plan.spans[other.span as usize];
                let Some(other_build) = view.plan.build_of(other_span) else { continue };
                let other_of = format!("the plug of the span {}", span_name(view, other_span));
                let known = face.is_some_and(|face| face.polish.is_some());
                with(&mating(other_of, &other_build.plugs[usize::from(other.end)], known), span.origin);
            }
        }
    }
}

fn span_name(view: &View<'_>, span: &Span) -> String {
    format!("`{}` to `{}`", view.plan.point_name(span.from), view.plan.point_name(span.to))
}

/// What a plug is put into at a point: the face of a port, or a coupling of stated polish.
fn opposite<'a>(view: &View<'a>, faces: &'a Faces, point: PointRef) -> (Option<&'a Plug>, String) {
    if let PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) = point {
        let face = view.plan.fitting_of(port).map(|fitting| &fitting.face);
        return (face.filter(|face| !face.is_unstated()), "the face of the port".to_string());
    }
    let joint = view.plan.joint_at(point).0;
    let face = faces.of_joints.get(usize::from(joint.0)).filter(|face| !face.is_unstated());
    let what = match point {
        PointRef::Position { .. } => "the coupling",
        _ => "the pigtail",
    };
    (face, what.to_string())
}
