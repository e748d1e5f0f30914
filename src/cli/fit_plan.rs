//! A plan of one port and what it faces, from the arguments of `spanwright fit`.

use super::args::FitArgs;
use super::args_fit::{FarArgs, NearArgs, YesNo};
use super::path_plan;
use crate::check::plan_rules::{unknown_row, unknown_word, wrong_type};
use crate::check::{Finding, nearest};
use crate::place::Origin;
use crate::plan::{Build, Fitting, JointKind, Panel, Place, Plan, Plug, PointRef, Polarity, Span};
use crate::tables::grid::Channel;
use crate::tables::{FEC_WORDS, Named, Optic, Role, Table, Tables};
use crate::units::{GigabitsPerSecond, Kilometers, Watts};

const HERE: Origin = Origin::COMMAND_LINE;

/// What can be said of either port.
pub(super) struct PortArgs<'a> {
    cage: Option<&'a str>,
    card: Option<&'a str>,
    form: Option<&'a str>,
    pub(super) channel: Option<&'a str>,
    temperature: Option<&'a str>,
    place: Option<&'a str>,
    power: Option<Watts>,
    rate: Option<GigabitsPerSecond>,
    fec: Option<&'a str>,
    face: Option<&'a str>,
    lane: Option<u16>,
}

impl<'a> From<&'a NearArgs> for PortArgs<'a> {
    fn from(args: &'a NearArgs) -> Self {
        Self {
            cage: args.cage.as_deref(),
            card: args.card.as_deref(),
            form: args.form.as_deref(),
            channel: args.channel.as_deref(),
            temperature: args.temperature.as_deref(),
            place: args.place.as_deref(),
            power: args.power,
            rate: args.rate,
            fec: args.fec.as_deref(),
            face: args.face.as_deref(),
            lane: args.lane,
        }
    }
}

impl<'a> From<&'a FarArgs> for PortArgs<'a> {
    fn from(args: &'a FarArgs) -> Self {
        Self {
            cage: args.far_cage.as_deref(),
            card: args.far_card.as_deref(),
            form: args.far_form.as_deref(),
            channel: args.far_channel.as_deref(),
            temperature: args.far_temperature.as_deref(),
            place: args.far_place.as_deref(),
            power: args.far_power,
            rate: args.far_rate,
            fec: args.far_fec.as_deref(),
            face: args.far_face.as_deref(),
            lane: args.far_lane,
        }
    }
}

impl PortArgs<'_> {
    /// Whether anything is said.
    pub(super) fn says_something(&self) -> bool {
        let words = [
            self.cage,
            self.card,
            self.form,
            self.channel,
            self.temperature,
            self.place,
            self.fec,
            self.face,
        ];
        words.iter().any(Option::is_some)
            || self.power.is_some()
            || self.rate.is_some()
            || self.lane.is_some()
    }

    /// Lays what is said over a fitting.
    pub(super) fn lay(&self, fitting: &mut Fitting, tables: &Tables, findings: &mut Vec<Finding>) {
        let forms = &tables.form_factors;
        lay_row(&mut fitting.cage, self.cage, ("form factor", forms), findings);
        lay_row(&mut fitting.form, self.form, ("form factor", forms), findings);
        let ranges = &tables.temperature_ranges;
        lay_row(&mut fitting.temperature, self.temperature, ("temperature range", ranges), findings);
        if let Some(card) = self.card {
            fitting.card = Some(card.to_string());
        }
        if let Some(fec) = self.fec {
            match FEC_WORDS.iter().find(|word| **word == fec) {
                Some(word) => fitting.fec = Some((*word).to_string()),
                None => findings.push(no_word(fec, "error correction", &FEC_WORDS)),
            }
        }
        if let Some(face) = self.face {
            fitting.face = plug(face, tables, findings);
        }
        fitting.power = self.power.or(fitting.power);
        fitting.rate = self.rate.or(fitting.rate);
        fitting.lane = self.lane.or(fitting.lane);
    }

    /// The channel, checked.
    fn channel(&self, findings: &mut Vec<Finding>) -> Option<String> {
        let text = self.channel?;
        match Channel::parse(text) {
            Ok(_) => Some(text.trim().to_string()),
            Err(error) => {
                findings.push(unknown_word::RULE.hit(HERE, text, error.to_string()));
                None
            }
        }
    }
}

fn lay_row<T>(
    into: &mut Option<String>,
    written: Option<&str>,
    (what, table): (&str, &Table<T>),
    findings: &mut Vec<Finding>,
) {
    let Some(written) = written else { return };
    match table.get(written) {
        Some(row) => *into = Some(row.key.clone()),
        None => {
            let message = format!("no table has the {what} `{written}`");
            let near = nearest(written, table.names());
            let rows = || table.rows().iter().map(|row| row.key.as_str()).collect::<Vec<_>>().join(", ");
            let hint = match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => format!("the rows are {}", rows()),
            };
            findings.push(unknown_row::RULE.hit(HERE, written, message).hint(hint));
        }
    }
}

fn no_word(written: &str, what: &str, words: &[&str]) -> Finding {
    let message = format!("`{written}` is no {what}");
    unknown_word::RULE.hit(HERE, written, message).hint(format!("the words are {}", words.join(", ")))
}

fn plug(written: &str, tables: &Tables, findings: &mut Vec<Finding>) -> Plug {
    Plug::parse(written, &tables.polishes).unwrap_or_else(|error| {
        let hint = unknown_word::meant_face(&error, &tables.polishes);
        findings.push(unknown_word::RULE.hit(HERE, written, error.to_string()).hint(hint));
        Plug::default()
    })
}

/// The arguments that describe the way or the far port, as far as they are given: in a plan both stand
/// there, and an argument that is passed over would be taken for granted.
pub(super) fn of_the_way(args: &FitArgs) -> Vec<&'static str> {
    let (route, cords) = (&args.route, &args.cords);
    let given = [
        (route.class.is_some(), "--class"),
        (route.far_optic.is_some(), "--far-optic"),
        (PortArgs::from(&args.far).says_something(), "--far-…"),
        (route.length.is_some(), "--length"),
        (route.connectors > 0, "--connectors"),
        (route.connector.is_some(), "--connector"),
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

/// Builds the plan: port A, the way, port B. Without a length there is no way.
pub(super) fn build(args: &FitArgs, tables: &Tables) -> (Plan, Vec<Finding>) {
    let (mut plan, mut findings) = path_plan::build(&args.route, tables);
    for (index, port) in [PortArgs::from(&args.near), PortArgs::from(&args.far)].iter().enumerate() {
        let mut fitting = Fitting::default();
        port.lay(&mut fitting, tables, &mut findings);
        clear_up(&mut plan, index, &fitting, tables);
        plan.ports[index].fitting = plan.fitting(fitting);
        if let Some(channel) = port.channel(&mut findings) {
            tune(&mut plan, index, &channel);
        }
        if let Some(kind) = port.place {
            let name = plan.names.intern(if index == 0 { "here" } else { "there" });
            plan.places.push(Place { name, kind: kind.to_string(), at: None, origin: HERE });
            plan.ports[index].place = Some(plan.places.len() as u32 - 1);
        }
    }
    if args.route.length.is_none() {
        plan.spans.clear();
        plan.joints.clear();
        plan.ports.truncate(1);
    } else {
        cords(args, &mut plan, tables, &mut findings);
    }
    (plan, findings)
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

/// Writes a channel behind the optic of a port.
fn tune(plan: &mut Plan, port: usize, channel: &str) {
    let set = plan.ports[port].optics.and_then(|set| plan.optic_sets.get(set as usize));
    let tuned: Vec<String> =
        set.map_or_else(Vec::new, |set| set.iter().map(|optic| format!("{optic} {channel}")).collect());
    plan.ports[port].optics = Some(plan.optic_set(tuned));
}

/// Puts what is said of the cords on the way.
fn cords(args: &FitArgs, plan: &mut Plan, tables: &Tables, findings: &mut Vec<Finding>) {
    let said = &args.cords;
    if said.plugs.len() > 2 {
        let message = format!("`--plugs` names {} plugs, and a cord has two ends", said.plugs.len());
        let hint = "write one plug for both ends, or two: `LC/UPC,SC/APC`";
        findings.push(wrong_type::RULE.hit(HERE, "plugs", message).hint(hint));
    }
    let plugs: Vec<Plug> = said.plugs.iter().map(|text| plug(text, tables, findings)).collect();
    let plugs = [0, 1].map(|end| plugs.get(end).or(plugs.first()).cloned().unwrap_or_default());
    let mut types = Vec::new();
    for written in &said.polarity {
        match Polarity::ALL.iter().find(|(word, _)| word.eq_ignore_ascii_case(written)) {
            Some((_, polarity)) => types.push(*polarity),
            None => findings.push(no_word(written, "type of array cord", &["A", "B", "C"])),
        }
    }
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
    let build = plan.build(Build { polarity: None, mode_conditioning: None, ..rest });
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
