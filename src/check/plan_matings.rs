//! Where end faces meet in a plan, and the rules about them.

use std::collections::{BTreeMap, BTreeSet};

use rustc_hash::FxHashMap;

use super::fit_rules::{MATING_RULES, MatingRule, Outcome, polish_mixed, polish_undecided};
use super::plan_facts::Judgement;
use super::view::View;
use super::{Finding, Rule};
use crate::fit::facts::Mating;
use crate::fit::usual_face::{completed, usual_face};
use crate::place::Origin;
use crate::plan::{JointKind, Plug, PointRef, Span, SpanKind};

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
        let faces = Faces::of(view);
        let mut undecided = false;
        each_undecided(view, &faces, &mut |outcome, point, _| {
            undecided = true;
            at.entry(point).or_default().push(Judgement { rule: &polish_undecided::RULE, outcome });
        });
        if view.plan.builds.is_empty() && !undecided {
            return Self { at, cords };
        }
        for span in &view.plan.spans {
            let ports = [port_of(span.from), port_of(span.to)];
            for port in ports.into_iter().flatten() {
                cords.entry(port).or_default().extend([span.from, span.to]);
            }
        }
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
        let mut judged: Vec<(Judgement, PointRef)> = ends.iter().flat_map(found).collect();
        let compared = |rule: &Rule| MATING_RULES.iter().any(|one| one.rule.id == rule.id);
        if judged.iter().any(|(judgement, _)| compared(judgement.rule)) {
            return judged;
        }
        let outcome = Outcome::Missing("the plugs of the cords");
        let missing = |one: &MatingRule| Judgement { rule: one.rule, outcome: outcome.clone() };
        judged.extend(MATING_RULES.iter().map(|one| (missing(one), PointRef::Port(port))));
        judged
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
    let faces = Faces::of(view);
    undecided(view, &faces, findings);
    if view.plan.builds.is_empty() {
        return;
    }
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

/// Findings where the polish of a plug decides and is not stated; places alike share one.
fn undecided(view: &View<'_>, faces: &Faces, findings: &mut Vec<Finding>) {
    let mut found: Vec<(Finding, String, u32)> = Vec::new();
    each_undecided(view, faces, &mut |outcome, point, origin| {
        let Outcome::Hit { message, hint } = outcome else { return };
        match found.iter_mut().find(|(_, known, _)| *known == message) {
            Some((finding, _, more)) => {
                *more += 1;
                finding.about.points.push(point);
            }
            None => {
                let at = view.plan.point_name(point);
                let text = format!("at `{at}`: {message}");
                let finding = polish_undecided::RULE.hit(origin, at, text).hint(hint);
                found.push((finding.about_points([point]), message, 0));
            }
        }
    });
    findings.extend(found.into_iter().map(|(mut finding, _, more)| {
        match more {
            0 => {}
            1 => finding.message += " (and at 1 more place)",
            _ => finding.message += &format!(" (and at {more} more places)"),
        }
        finding
    }));
}

/// Calls `with` for every end of a span of whose plug no polish is stated, and whose connectors do not go
/// with what it meets: the face of a port, or for a cord a coupling. What other spans than cords end in at
/// a panel is not made of the connectors along them.
fn each_undecided<'a>(
    view: &View<'a>,
    faces: &'a Faces,
    with: &mut impl FnMut(Outcome, PointRef, Origin),
) {
    let stated = |polish: &Plug| polish.polish.is_some();
    if view.plan.assumptions.usual_polish || !faces.of_joints.iter().any(stated) {
        return;
    }
    let mut usual: FxHashMap<_, Option<Plug>> = FxHashMap::default();
    for span in &view.plan.spans {
        let own = faces.of_joints.get(usize::from(span.connector.0));
        let Some(own) = own.and_then(|face| face.polish.as_deref()) else { continue };
        let is_cord = matches!(span.kind, SpanKind::PatchCord | SpanKind::Jumper | SpanKind::Pigtail);
        // A span without connectors of its own has none that a plug could be of.
        let has_connectors = is_cord || span.connectors > 0 || span.origin == Origin::COMMAND_LINE;
        let plugs = view.plan.build_of(span).map(|build| &build.plugs);
        for (end, point) in [span.from, span.to].into_iter().enumerate() {
            if !has_connectors || plugs.is_some_and(|plugs| plugs[end].polish.is_some()) {
                continue;
            }
            let (face, whose) = match port_of(point) {
                Some(port) => {
                    // Ports with the same optics and fitting have the same face.
                    let of = &view.plan.ports[port as usize];
                    let key = (of.optics, of.fitting);
                    let known = usual
                        .entry(key)
                        .or_insert_with(|| assumed_face(view, port).map(|(face, _)| face));
                    let stated = view.plan.fitting_of(port).map(|fitting| &fitting.face);
                    let face = known.as_ref().or(stated).and_then(|face| face.polish.clone());
                    (face, "the face of the port")
                }
                None if is_cord => {
                    let joint = view.plan.joint_at(point).0;
                    let face = faces.of_joints.get(usize::from(joint.0));
                    (face.and_then(|face| face.polish.clone()), "the coupling")
                }
                None => continue,
            };
            let outcome = polish_undecided::judge(own, face.as_deref(), whose, view.tables);
            if matches!(outcome, Outcome::Hit { .. }) {
                with(outcome, point, span.origin);
            }
        }
    }
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
        if view.plan.builds.is_empty() {
            return Self { of_joints: view.plan.joint_kinds.iter().map(face).collect(), of_ports };
        }
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

/// The faces that are assumed of ports into which cords of stated plugs go, a line for each kind of face;
/// and how many ports have a cord of which the plug is not stated, where plugs are stated at all.
pub fn assumed_faces(view: &View<'_>) -> Vec<String> {
    if view.plan.builds.iter().all(|build| build.plugs.iter().all(Plug::is_unstated)) {
        return Vec::new();
    }
    let faces = Faces::of(view);
    let mut kinds: BTreeMap<String, BTreeSet<u32>> = BTreeMap::new();
    for (port, (face, _)) in &faces.of_ports {
        kinds.entry(face.words()).or_default().insert(*port);
    }
    let name = |ports: &BTreeSet<u32>| {
        let first = ports.first().map_or("", |port| view.port_name(*port));
        match ports.len() {
            1 => format!("the face of `{first}` is"),
            more => format!("the faces of `{first}` and {} more are", more - 1),
        }
    };
    let mut lines: Vec<String> = kinds
        .into_iter()
        .map(|(face, ports)| {
            let usual = "as their interfaces usually have it; state `face` where it is another";
            format!("{} {face}, {usual}", name(&ports))
        })
        .collect();
    let mut unsaid: BTreeSet<u32> = BTreeSet::new();
    for span in &view.plan.spans {
        let plugs = view.plan.build_of(span).map(|build| &build.plugs);
        for (end, point) in [span.from, span.to].into_iter().enumerate() {
            let stated = plugs.is_some_and(|plugs| !plugs[end].is_unstated());
            unsaid.extend(port_of(point).filter(|_| !stated));
        }
    }
    if !unsaid.is_empty() {
        let first = unsaid.first().map_or("", |port| view.port_name(*port));
        let more = match unsaid.len() {
            1 => String::new(),
            more => format!(" and {} more ports", more - 1),
        };
        lines.push(format!(
            "the plugs in `{first}`{more} are not stated, and not compared with the faces"
        ));
    }
    lines
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
