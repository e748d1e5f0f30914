//! A plan of one port and what it faces, from the arguments of `spanwright fit`.

use super::args::FitArgs;
use super::args_fit::{FarArgs, NearArgs, YesNo};
use super::path_plan;
use crate::place::Origin;
use crate::plan::{Build, Fitting, JointKind, Panel, Place, Plan, Plug, PointRef, Polarity, Span};
use crate::read::plan::Typed;
use crate::tables::{Named, Optic, Role, Tables};
use crate::units::Kilometers;

const HERE: Origin = Origin::COMMAND_LINE;

/// What is said of a port: the argument, the key that it has in a plan, and the text.
pub(super) struct PortArgs<'a>(Vec<(&'static str, &'static str, &'a str)>);

macro_rules! said {
    ($args:ident: $($argument:literal $key:literal $field:ident),+ $(,)?) => {
        PortArgs(
            [$(($argument, $key, $args.$field.as_deref())),+]
                .into_iter()
                .filter_map(|(argument, key, text)| Some((argument, key, text?)))
                .collect(),
        )
    };
}

impl<'a> From<&'a NearArgs> for PortArgs<'a> {
    fn from(args: &'a NearArgs) -> Self {
        said!(args:
            "--cage" "cage" cage,
            "--card" "card" card,
            "--form" "form" form,
            "--channel" "channel" channel,
            "--temperature" "temperature" temperature,
            "--place" "place" place,
            "--power" "power" power,
            "--rate" "rate" rate,
            "--fec" "fec" fec,
            "--face" "face" face,
            "--lane" "lane" lane,
        )
    }
}

impl<'a> From<&'a FarArgs> for PortArgs<'a> {
    fn from(args: &'a FarArgs) -> Self {
        said!(args:
            "--far-cage" "cage" far_cage,
            "--far-card" "card" far_card,
            "--far-form" "form" far_form,
            "--far-channel" "channel" far_channel,
            "--far-temperature" "temperature" far_temperature,
            "--far-place" "place" far_place,
            "--far-power" "power" far_power,
            "--far-rate" "rate" far_rate,
            "--far-fec" "fec" far_fec,
            "--far-face" "face" far_face,
            "--far-lane" "lane" far_lane,
        )
    }
}

impl PortArgs<'_> {
    /// Whether anything is said.
    pub(super) fn says_something(&self) -> bool {
        !self.0.is_empty()
    }

    /// The argument and the text of one key.
    pub(super) fn said(&self, key: &str) -> Option<(&'static str, &str)> {
        self.0.iter().find(|said| said.1 == key).map(|(argument, _, text)| (*argument, *text))
    }

    /// Lays what is said over a fitting. A card that no table has would leave everything that it
    /// decides unchecked: on a command line it is a slip.
    pub(super) fn lay(&self, fitting: &mut Fitting, typed: &mut Typed<'_>) {
        for (argument, key, text) in &self.0 {
            match *key {
                "card" => fitting.card = typed.row(argument, text, "card", |tables| &tables.cards),
                key => typed.fit_out(fitting, key, argument, text),
            }
        }
    }
}

/// The arguments that describe the way or the far port, as far as they are given: in a plan both stand
/// there, and an argument that is passed over would be taken for granted.
pub(super) fn of_the_way(args: &FitArgs) -> Vec<&'static str> {
    let (route, cords) = (&args.route, &args.cords);
    let given = [
        (route.class.is_some(), "--class"),
        (!route.far_optic.is_empty(), "--far-optic"),
        (PortArgs::from(&args.far).says_something(), "--far-…"),
        (route.length.is_some(), "--length"),
        (route.connectors > 0, "--connectors"),
        (route.connector.is_some(), "--connector"),
        (route.polish.is_some(), "--polish"),
        (route.splices > 0, "--splices"),
        (route.splice.is_some(), "--splice"),
        (!route.split.is_empty(), "--split"),
        (route.pad.is_some(), "--pad"),
        (route.extra.is_some(), "--extra"),
        (!cords.plugs.is_empty(), "--plugs"),
        (!cords.polarity.is_empty(), "--polarity"),
        (cords.fibers.is_some(), "--fibers"),
        (cords.mode_conditioning.is_some(), "--mode-conditioning"),
    ];
    given.into_iter().filter(|(is, _)| *is).map(|(_, name)| name).collect()
}

/// Builds the plan: the port, the way, the far port. Without a length there is no way.
pub(super) fn build(args: &FitArgs, tables: &Tables, typed: &mut Typed<'_>) -> Plan {
    let mut plan = path_plan::build(&args.route, tables, typed);
    for (index, port) in [PortArgs::from(&args.near), PortArgs::from(&args.far)].iter().enumerate() {
        let mut fitting = Fitting::default();
        port.lay(&mut fitting, typed);
        clear_up(&mut plan, index, &fitting, tables);
        plan.ports[index].fitting = plan.fitting(fitting);
        if let Some((argument, channel)) = port.said("channel") {
            path_plan::tune(&mut plan, index, argument, channel, typed);
        }
        stand_in(&mut plan, index, port, typed);
    }
    if args.route.length.is_none() {
        plan.spans.clear();
        plan.joints.clear();
        plan.ports.truncate(1);
    } else {
        cords(args, &mut plan, typed);
    }
    plan
}

/// Puts a port into a place of the kind that is said, whatever its place was.
pub(super) fn stand_in(plan: &mut Plan, port: usize, said: &PortArgs<'_>, typed: &mut Typed<'_>) {
    let kind = said.said("place").and_then(|(argument, kind)| typed.place(argument, kind));
    if let Some(kind) = kind {
        let name = plan.names.intern(if port == 0 { "here" } else { "there" });
        plan.places.push(Place { name, kind, at: None, origin: HERE });
        plan.ports[port].place = Some(plan.places.len() as u32 - 1);
    }
}

/// Writes an optic by its full name where its spelling is clear only within a form factor: `LR` is
/// 10GBASE-LR in an SFP+ and 25GBASE-LR in an SFP28.
fn clear_up(plan: &mut Plan, port: usize, fitting: &Fitting, tables: &Tables) {
    let set = plan.ports[port].optics.and_then(|set| plan.optic_sets.get(set as usize));
    let Some([written]) = set.map(Vec::as_slice) else { return };
    let form = fitting.form.as_deref().or(fitting.cage.as_deref());
    if form.is_none() || Optic::find(tables, written, Role::Olt).is_some() {
        return;
    }
    if let Named::One(name) = tables.interface_named_in(written, form) {
        plan.ports[port].optics = Some(plan.optic_set(vec![name.to_string()]));
    }
}

/// Puts what is said of the cords on the way.
fn cords(args: &FitArgs, plan: &mut Plan, typed: &mut Typed<'_>) {
    let said = &args.cords;
    let plugs = typed.plugs("--plugs", &said.plugs).unwrap_or_default();
    let types = said.polarity.iter().filter_map(|text| typed.polarity("--polarity", text));
    let types: Vec<Polarity> = types.collect();
    let usual = Build {
        plugs: [Plug::default(), Plug::default()],
        polarity: types.first().copied(),
        fibers: said.fibers,
        mode_conditioning: said.mode_conditioning.map(|answer| answer == YesNo::Yes),
    };
    let build = plan.build(Build { plugs, ..usual.clone() });
    if let Some(span) = plan.spans.first_mut() {
        span.build = build;
    }
    let couplings = plan.spans.first().is_some_and(|span| span.connectors > 0);
    if couplings && !said.plugs.is_empty() {
        first_coupling(plan, usual);
    }
    for polarity in types.into_iter().skip(1) {
        another_array(plan, polarity);
    }
}

/// Takes the first coupling off the first span and makes a panel of it, so that the plug of the cord
/// meets it.
fn first_coupling(plan: &mut Plan, rest: Build) {
    let Some(first) = plan.spans.first().cloned() else { return };
    let point = panel(plan, first.connector);
    let build = plan.build(Build { polarity: None, ..rest });
    plan.spans[0] = Span {
        to: point,
        length: Kilometers::default(),
        splices: 0,
        connectors: 0,
        reels: 1,
        ..first.clone()
    };
    plan.spans.push(Span { from: point, connectors: first.connectors - 1, build, ..first });
}

/// Adds one more array cord behind the last span: its length is counted already.
fn another_array(plan: &mut Plan, polarity: Polarity) {
    let Some(last) = plan.spans.last().cloned() else { return };
    let none = plan.joint_kind(JointKind::None);
    let point = panel(plan, none);
    let build = plan.build(Build { polarity: Some(polarity), ..Build::default() });
    let index = plan.spans.len() - 1;
    plan.spans[index].to = point;
    plan.spans.push(Span {
        from: point,
        length: Kilometers::default(),
        splices: 0,
        connectors: 0,
        reels: 1,
        build,
        ..last
    });
}

/// A panel of one coupling; its point.
fn panel(plan: &mut Plan, joint: crate::plan::JointUse) -> PointRef {
    let name = plan.names.intern(&format!("coupling-{}", plan.panels.len() + 1));
    plan.panels.push(Panel { name, place: None, positions: 1, joint, measured: None, origin: HERE });
    PointRef::Position { panel: plan.panels.len() as u32 - 1, number: 1 }
}
