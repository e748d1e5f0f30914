//! Where end faces meet in a plan, and the rules about them.

use rustc_hash::FxHashMap;

use super::fit_rules::{MATING_RULES, MatingRule, Outcome, polish_mixed};
use super::plan_facts::Judgement;
use super::view::View;
use super::{Finding, Rule};
use crate::fit::facts::Mating;
use crate::fit::usual_face::{completed, usual_face};
use crate::place::Origin;
use crate::plan::{JointKind, Plug, PointRef, Span};

/// A face of which nothing is known.
static UNKNOWN: Plug = Plug { connector: None, polish: None, pinned: None };

/// What plugs are put into.
struct Faces {
    /// The polish that a coupling or a pigtail was stated to have.
    of_joints: Vec<Plug>,
    /// The faces of ports of which a part is assumed, and the optic whose usual face it is.
    of_ports: FxHashMap<u32, (Plug, String)>,
}

/// A plug at one end of a span.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
struct PlugOf {
    span: u32,
    end: u8,
}

/// What every rule about end faces says, by the place where they meet, and where each port's cords end.
pub struct Matings {
    at: FxHashMap<PointRef, Vec<Judgement>>,
    cords: FxHashMap<u32, Vec<PointRef>>,
}

impl Matings {
    /// Judges every two faces that meet in a plan.
    pub fn of(view: &View<'_>) -> Self {
        let mut at: FxHashMap<PointRef, Vec<Judgement>> = FxHashMap::default();
        let mut cords: FxHashMap<u32, Vec<PointRef>> = FxHashMap::default();
        if view.plan.builds.is_empty() {
            return Self { at, cords };
        }
        for span in &view.plan.spans {
            let ports = [port_of(span.from), port_of(span.to)];
            for port in ports.into_iter().flatten() {
                cords.entry(port).or_default().extend([span.from, span.to]);
            }
        }
        let faces = Faces::of(view);
        each(view, &faces, &mut |mating, point, _| {
            let judged = MATING_RULES
                .iter()
                .filter(|one| applies(one.rule, mating))
                .map(|one| Judgement { rule: one.rule, outcome: (one.judge)(mating, view.tables) });
            at.entry(point).or_default().extend(judged);
        });
        Self { at, cords }
    }

    /// What the rules say of the places where the cords of a port end.
    pub fn of_port(&self, port: u32) -> Vec<(Judgement, PointRef)> {
        let none = Vec::new();
        let ends = self.cords.get(&port).unwrap_or(&none);
        let found = |point: &PointRef| {
            let judged = self.at.get(point).into_iter().flatten().cloned();
            judged.map(|judgement| (judgement, *point)).collect::<Vec<_>>()
        };
        let judged: Vec<(Judgement, PointRef)> = ends.iter().flat_map(found).collect();
        if !judged.is_empty() {
            return judged;
        }
        let outcome = Outcome::Missing("the plugs of the cords");
        let missing = |one: &MatingRule| Judgement { rule: one.rule, outcome: outcome.clone() };
        MATING_RULES.iter().map(|one| (missing(one), PointRef::Port(port))).collect()
    }
}

/// The port of a point that belongs to one.
fn port_of(point: PointRef) -> Option<u32> {
    match point {
        PointRef::Port(port) | PointRef::PortTransmit(port) | PointRef::PortReceive(port) => Some(port),
        _ => None,
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
    each(view, &faces, &mut |mating, point, origin| {
        for one in MATING_RULES.iter().filter(|one| applies(one.rule, mating)) {
            let Outcome::Hit { message, hint } = (one.judge)(mating, view.tables) else { continue };
            // What differs from place to place is where it is, not what is wrong.
            let kind = (one.rule.id, format!("{} {}", mating.first.words(), mating.second.words()));
            match met.get(&kind) {
                Some(at) => {
                    found[*at].1 += 1;
                    found[*at].0.about.points.push(point);
                }
                None => {
                    met.insert(kind, found.len());
                    let message = format!("at `{}`: {message}", mating.at);
                    let finding = one.rule.hit(origin, mating.at.clone(), message).hint(hint);
                    found.push((finding.about_points([point]), 0));
                }
            }
        }
    });
    findings.extend(found.into_iter().map(|(mut finding, more)| {
        match more {
            0 => {}
            1 => finding.message += " (and at 1 more place)",
            _ => finding.message += &format!(" (and at {more} more places)"),
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
        let mut of_ports = FxHashMap::default();
        for span in &view.plan.spans {
            let Some(build) = view.plan.build_of(span) else { continue };
            for (point, plug) in [span.from, span.to].into_iter().zip(&build.plugs) {
                let Some(port) = port_of(point).filter(|_| !plug.is_unstated()) else { continue };
                if let Some(assumed) = assumed_face(view, port) {
                    of_ports.insert(port, assumed);
                }
            }
        }
        Self { of_joints: view.plan.joint_kinds.iter().map(face).collect(), of_ports }
    }
}

/// What is assumed of the face of a port into which a cord of stated plugs goes.
pub fn assumed_face_words(view: &View<'_>, port: u32) -> Option<String> {
    let faces = Faces::of(view);
    let (face, _) = faces.of_ports.get(&port)?;
    let words = face.words();
    Some(format!("the face of `{}` is {words}, as its interface usually has it", view.port_name(port)))
}

/// The face of a port, where a part of it is taken from the row of its interface, and whose it is.
fn assumed_face(view: &View<'_>, port: u32) -> Option<(Plug, String)> {
    let optic = *view.assessment.pairs.of_port(view.plan, port).first()?;
    let optic = view.assessment.pairs.optics[usize::from(optic)].optic.as_ref()?;
    let usual = usual_face(&optic.interface(view.tables)?.value);
    let stated = view.plan.fitting_of(port).map_or(&UNKNOWN, |fitting| &fitting.face);
    let face = completed(stated, usual);
    let of = if stated.is_unstated() {
        format!("the face that `{}` usually has (assumed)", optic.name)
    } else {
        "the face of the port".to_string()
    };
    (face != *stated).then_some((face, of))
}

/// Calls `with` for every two faces that meet and of which something is stated.
fn each<'a>(view: &View<'a>, faces: &'a Faces, with: &mut impl FnMut(&Mating<'_>, PointRef, Origin)) {
    let mut plugs: FxHashMap<PointRef, PlugOf> = FxHashMap::default();
    for (index, span) in view.plan.spans.iter().enumerate() {
        let Some(build) = view.plan.build_of(span) else { continue };
        for (end, point) in [span.from, span.to].into_iter().enumerate() {
            let plug = &build.plugs[end];
            if plug.is_unstated() {
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
                with(&mating(of.clone(), face, false), point, span.origin);
            }
            let this = PlugOf { span: index as u32, end: end as u8 };
            if let Some(other) = plugs.insert(point, this) {
                let other_span = &view.plan.spans[other.span as usize];
                let Some(other_build) = view.plan.build_of(other_span) else { continue };
                let other_of = format!("the plug of the span {}", span_name(view, other_span));
                let known = face.is_some_and(|face| face.polish.is_some());
                let plug = &other_build.plugs[usize::from(other.end)];
                with(&mating(other_of, plug, known), point, span.origin);
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
        if let Some((face, of)) = faces.of_ports.get(&port) {
            return (Some(face), of.clone());
        }
        // A face of which nothing is known is compared too, so that the missing datum is named.
        let face = view.plan.fitting_of(port).map_or(&UNKNOWN, |fitting| &fitting.face);
        return (Some(face), "the face of the port".to_string());
    }
    let joint = view.plan.joint_at(point).0;
    let face = faces.of_joints.get(usize::from(joint.0)).filter(|face| !face.is_unstated());
    let what = match point {
        PointRef::Position { .. } => "the coupling",
        _ => "the pigtail",
    };
    (face, what.to_string())
}
