//! A plan made from the arguments of one path.

use super::args::RouteArgs;
use crate::place::Origin;
use crate::plan::usual_grade::usual_grade;
use crate::plan::{Attenuator, DirectJoint, JointKind, Plan, PointRef, Port, PortKind, Span, Splitter};
use crate::read::plan::Typed;
use crate::tables::{Family, FiberKind, Optic, Role, Tables};
use crate::units::Decibels;

const HERE: Origin = Origin::COMMAND_LINE;

/// Tolerance of a pad that no table states: half a decibel each way (common practice).
const USUAL_TOLERANCE: Decibels = Decibels::new(0.5);

/// Builds the plan of one path; what the tables do not know is told by `typed`.
pub(super) fn build(args: &RouteArgs, tables: &Tables, typed: &mut Typed<'_>) -> Plan {
    let mut plan = Plan::default();
    let fiber = typed.row("--fiber", &args.fiber, "fiber", |tables| &tables.fibers);
    let fiber = fiber.unwrap_or_else(|| args.fiber.clone());
    let kind = tables.fibers.get(&fiber).map_or(FiberKind::SingleMode, |row| row.value.kind);
    let usual = usual_grade(kind, is_parallel(args, tables));
    if args.connector.is_none() && args.connectors > 0 {
        plan.assumptions.usual_grades = vec![usual];
    }
    let grade = args.connector.as_deref().unwrap_or(usual);
    let grade = typed.row("--connector", grade, "grade", |tables| &tables.connectors);
    plan.assumptions.usual_polish = args.polish.is_none();
    let polish = args.polish.as_deref().unwrap_or("UPC");
    let polish = typed.row("--polish", polish, "polish", |tables| &tables.polishes);
    let usual = if kind == FiberKind::Multimode { "multimode" } else { "fusion" };
    let splice = args.splice.as_deref().unwrap_or(usual);
    let splice = typed.row("--splice", splice, "splice", |tables| &tables.splices);
    let ends = ports(&mut plan, args, tables);
    let connector =
        JointKind::Connector { grade: grade.unwrap_or_default(), polish: polish.unwrap_or_default() };
    let splice = JointKind::Splice(splice.unwrap_or_default());
    let span = span(&mut plan, (args, &fiber), (connector, splice), ends.near, ends.far);
    let mut behind = devices(&mut plan, args, tables, typed);
    if ends.near_is_onu {
        // What stands on the way is said as light meets it from the OLT.
        behind = behind.into_iter().rev().map(|(first, last)| (last, first)).collect();
    }
    chain(&mut plan, span, &behind, ends.far);
    plan
}

/// Whether either optic sends over an array of fibers.
fn is_parallel(args: &RouteArgs, tables: &Tables) -> bool {
    let optics = args.optic.iter().chain(&args.far_optic);
    let mut found = optics.filter_map(|name| Optic::find(tables, name, Role::Olt));
    found.any(|optic| optic.fibers(tables) > 2)
}

/// What faces an optic where nobody says: the same, or the other half of a single-fiber pair.
pub(super) fn usual_mate(tables: &Tables, optic: &str) -> String {
    let found = Optic::find(tables, optic, Role::Olt);
    if let Some(mate) = found.as_ref().and_then(|found| pon_mate(tables, optic, found)) {
        return mate;
    }
    let row = found.as_ref().and_then(|optic| optic.interface(tables));
    let mates = row.filter(|row| row.value.fibers == 1).map(|row| (&row.key, &row.value.mates_with));
    let other = mates.and_then(|(own, mates)| mates.first().filter(|_| !mates.contains(own)));
    other.cloned().unwrap_or_else(|| optic.to_string())
}

/// The other side of a PON class, for a name that says itself which side it is.
fn pon_mate(tables: &Tables, written: &str, optic: &Optic) -> Option<String> {
    let Family::Pon(id) = optic.family else { return None };
    let row = tables.pon_classes.row(id);
    let other = match says_its_role(tables, written)? {
        Role::Onu => Role::Olt,
        _ => Role::Onu,
    };
    Some(Optic::of_class(row, id, other).name)
}

/// The side of a PON that the name of an optic says itself; `None` for the name of a whole class, which
/// is that of its port, and for anything else.
fn says_its_role(tables: &Tables, written: &str) -> Option<Role> {
    let optic = Optic::find(tables, written, Role::Olt)?;
    let alike = Optic::find(tables, written, Role::Onu)?.role == optic.role;
    (alike && optic.role != Role::Peer).then_some(optic.role)
}

/// The two ports of a path.
struct Ends {
    near: PointRef,
    far: PointRef,
    /// Whether the optic that is asked about is an ONU: light meets the way from the far end then.
    near_is_onu: bool,
}

/// The two ports: an OLT and an ONT for a PON, A and B otherwise.
fn ports(plan: &mut Plan, args: &RouteArgs, tables: &Tables) -> Ends {
    let near_optics =
        args.class.as_ref().map_or_else(|| args.optic.clone(), |class| vec![class.clone()]);
    let far_optics = if args.far_optic.is_empty() {
        near_optics.iter().map(|optic| usual_mate(tables, optic)).collect()
    } else {
        args.far_optic.clone()
    };
    let is = |optics: &[String], role: Role| {
        optics.iter().any(|name| says_its_role(tables, name) == Some(role))
    };
    let of_pon = |optics: &[String]| is(optics, Role::Olt) || is(optics, Role::Onu);
    let near_is_onu = is(&near_optics, Role::Onu);
    let pon =
        args.class.is_some() || !args.split.is_empty() || of_pon(&near_optics) || of_pon(&far_optics);
    let (near, far) = match (pon, near_is_onu) {
        (false, _) => (("A", PortKind::Equipment), ("B", PortKind::Equipment)),
        (true, false) => (("olt", PortKind::Equipment), ("ont", PortKind::Ont)),
        (true, true) => (("ont", PortKind::Ont), ("olt", PortKind::Equipment)),
    };
    let mut port = |(name, kind): (&str, PortKind), optics: Vec<String>| {
        let optics = Some(plan.optic_set(optics));
        let name = plan.names.intern(name);
        plan.ports.push(Port {
            name,
            kind,
            place: None,
            fitting: None,
            optics,
            connected: true,
            origin: HERE,
        });
        PointRef::Port(plan.ports.len() as u32 - 1)
    };
    Ends { near: port(near, near_optics), far: port(far, far_optics), near_is_onu }
}

/// Writes the channel that is said of a port behind its optic.
pub(super) fn tune(plan: &mut Plan, port: usize, argument: &str, channel: &str, typed: &mut Typed<'_>) {
    let set = plan.ports[port].optics.and_then(|set| plan.optic_sets.get(set as usize));
    let tuned = typed.tuned(argument, channel, set.cloned().unwrap_or_default());
    plan.ports[port].optics = Some(plan.optic_set(tuned));
}

fn span(
    plan: &mut Plan,
    (args, fiber): (&RouteArgs, &str),
    (connector, splice): (JointKind, JointKind),
    from: PointRef,
    to: PointRef,
) -> usize {
    plan.port_joint = plan.joint_kind(connector.clone());
    let span = Span {
        from,
        to,
        length: args.length.unwrap_or_default(),
        fiber: plan.fiber(fiber),
        splice: plan.joint_kind(splice),
        splices: args.splices,
        connector: plan.joint_kind(connector),
        connectors: args.connectors,
        reels: 1,
        kind: crate::plan::SpanKind::Cable,
        outside: true,
        measured: None,
        build: None,
        cable: None,
        strand: 0,
        origin: HERE,
    };
    plan.spans.push(span);
    plan.spans.len() - 1
}

/// Pad, other losses and splitters, each as the points light enters and leaves it by.
fn devices(
    plan: &mut Plan,
    args: &RouteArgs,
    tables: &Tables,
    typed: &mut Typed<'_>,
) -> Vec<(PointRef, PointRef)> {
    let mut behind = Vec::new();
    if let Some(loss) = args.pad {
        let stocked = tables.attenuators.rows().iter().find(|row| row.value.value == loss);
        let tolerance = stocked.map_or(USUAL_TOLERANCE, |row| row.value.tolerance);
        behind.push(attenuator(plan, "pad", loss, tolerance));
    }
    if let Some(loss) = args.extra {
        behind.push(attenuator(plan, "extra", loss, Decibels::ZERO));
    }
    for (index, ratio) in args.split.iter().enumerate() {
        if let Some((inputs, legs, row)) = typed.split("--split", ratio) {
            behind.push(splitter(plan, index, row, inputs, legs));
        }
    }
    behind
}

fn attenuator(plan: &mut Plan, name: &str, loss: Decibels, tolerance: Decibels) -> (PointRef, PointRef) {
    let joint = plan.joint_kind(JointKind::None);
    let name = plan.names.intern(name);
    plan.attenuators.push(Attenuator { name, place: None, loss, tolerance, joint, origin: HERE });
    let attenuator = plan.attenuators.len() as u32 - 1;
    let side = |far| PointRef::Attenuator { attenuator, far };
    (side(false), side(true))
}

fn splitter(
    plan: &mut Plan,
    index: usize,
    kind: String,
    inputs: u16,
    legs: u16,
) -> (PointRef, PointRef) {
    let joint = plan.joint_kind(JointKind::None);
    let name = plan.names.intern(&format!("split-{}", index + 1));
    let kind = kind.into_boxed_str();
    plan.splitters.push(Splitter {
        name,
        place: None,
        inputs,
        legs,
        kind,
        joint,
        measured: None,
        origin: HERE,
    });
    let splitter = plan.splitters.len() as u32 - 1;
    (PointRef::SplitterInput { splitter, input: 1 }, PointRef::SplitterLeg { splitter, leg: 1 })
}

/// Joins the span, the devices and the far port one after the other; their joints are counted on
/// the span, so these cost nothing.
fn chain(plan: &mut Plan, span: usize, behind: &[(PointRef, PointRef)], far: PointRef) {
    let Some(first) = behind.first() else { return };
    plan.spans[span].to = first.0;
    let joint = plan.joint_kind(JointKind::None);
    let nexts = behind.iter().skip(1).map(|device| device.0).chain(std::iter::once(far));
    for (from, to) in behind.iter().map(|device| device.1).zip(nexts) {
        plan.joints.push(DirectJoint { from, to, joint, origin: HERE });
    }
}
