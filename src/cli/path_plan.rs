//! A plan made from the arguments of one path.

use super::args::RouteArgs;
use crate::check::plan_rules::{bad_ratio, unknown_row};
use crate::check::{Finding, nearest};
use crate::place::Origin;
use crate::plan::usual_grade::usual_grade;
use crate::plan::{Attenuator, DirectJoint, JointKind, Plan, PointRef, Port, PortKind, Span, Splitter};
use crate::tables::{Family, FiberKind, Optic, Role, Table, Tables};
use crate::units::Decibels;

const HERE: Origin = Origin::COMMAND_LINE;

/// Tolerance of a pad that no table states: half a decibel each way (common practice).
const USUAL_TOLERANCE: Decibels = Decibels::new(0.5);

/// Builds the plan of one path and names what the tables do not know.
pub(super) fn build(args: &RouteArgs, tables: &Tables) -> (Plan, Vec<Finding>) {
    let mut plan = Plan::default();
    let mut findings = Vec::new();
    known(&tables.fibers, "fiber", &args.fiber, &mut findings);
    let kind = tables.fibers.get(&args.fiber).map_or(FiberKind::SingleMode, |row| row.value.kind);
    let usual = usual_grade(kind, is_parallel(args, tables));
    let grade = args.connector.clone().unwrap_or_else(|| usual.to_string());
    if args.connector.is_none() && args.connectors > 0 {
        plan.assumptions.usual_grades = vec![usual];
    }
    let usual = if kind == FiberKind::Multimode { "multimode" } else { "fusion" };
    let splice = args.splice.clone().unwrap_or_else(|| usual.to_string());
    known(&tables.connectors, "connector grade", &grade, &mut findings);
    known(&tables.polishes, "polish", &args.polish, &mut findings);
    known(&tables.splices, "splice", &splice, &mut findings);
    let (near, far) = ports(&mut plan, args, tables);
    let connector = JointKind::Connector { grade, polish: args.polish.clone() };
    let span = span(&mut plan, args, (connector, JointKind::Splice(splice)), near, far);
    let behind = devices(&mut plan, args, tables, &mut findings);
    chain(&mut plan, span, &behind, far);
    (plan, findings)
}

/// Whether either optic sends over an array of fibers.
fn is_parallel(args: &RouteArgs, tables: &Tables) -> bool {
    let optics = [&args.optic, &args.far_optic].into_iter().flatten();
    let mut found = optics.filter_map(|name| Optic::find(tables, name, Role::Olt));
    found.any(|optic| optic.fibers(tables) > 2)
}

fn known<T>(table: &Table<T>, what: &str, name: &str, findings: &mut Vec<Finding>) {
    if table.find(name).is_none() {
        let message = format!("no table has the {what} `{name}`");
        let near = nearest(name, table.names());
        let hint = near.map_or_else(String::new, |near| format!("did you mean `{near}`?"));
        findings.push(unknown_row::RULE.hit(HERE, name, message).hint(hint));
    }
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
    let says_its_side = Optic::find(tables, written, Role::Onu)?.role == optic.role;
    let other = if optic.role == Role::Onu { Role::Olt } else { Role::Onu };
    says_its_side.then(|| Optic::of_class(row, id, other).name)
}

/// The two ports: an OLT and an ONT for a PON class, A and B otherwise.
fn ports(plan: &mut Plan, args: &RouteArgs, tables: &Tables) -> (PointRef, PointRef) {
    let near_optic = args.class.as_ref().or(args.optic.as_ref()).cloned().unwrap_or_default();
    let far_optic = args.far_optic.clone().unwrap_or_else(|| usual_mate(tables, &near_optic));
    let pon = args.class.is_some() || !args.split.is_empty();
    let far_kind = if pon { PortKind::Ont } else { PortKind::Equipment };
    let (near_name, far_name) = if pon { ("olt", "ont") } else { ("A", "B") };
    let mut port = |name: &str, kind: PortKind, optic: String| {
        let optics = Some(plan.optic_set(vec![optic]));
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
    (port(near_name, PortKind::Equipment, near_optic), port(far_name, far_kind, far_optic))
}

fn span(
    plan: &mut Plan,
    args: &RouteArgs,
    (connector, splice): (JointKind, JointKind),
    from: PointRef,
    to: PointRef,
) -> usize {
    plan.port_joint = plan.joint_kind(connector.clone());
    let span = Span {
        from,
        to,
        length: args.length.unwrap_or_default(),
        fiber: plan.fiber(&args.fiber),
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
    findings: &mut Vec<Finding>,
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
        match tables.splitters.get(&ratio.replace(':', "x")) {
            Some(row) => {
                behind.push(splitter(plan, index, row.key.clone(), row.value.inputs, row.value.outputs))
            }
            None => {
                let message = format!("no table has the splitter `{ratio}`");
                let near = nearest(&ratio.replace(':', "x"), tables.splitters.names());
                let hint = near.map_or_else(String::new, |near| format!("did you mean `{near}`?"));
                findings.push(bad_ratio::RULE.hit(HERE, ratio, message).hint(hint));
            }
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
