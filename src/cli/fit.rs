//! `spanwright fit`: does this optic belong into this port?

use std::path::Path;
use std::process::ExitCode;
use std::sync::Arc;

use super::args::{Common, FitArgs, Format};
use super::exit::{self, Failure};
use super::fit_plan::{self, PortArgs};
use super::path_plan::{self, usual_mate};
use super::progress::Progress;
use super::{engine, output};
use crate::budget::Settings;
use crate::check::plan_rules::unconnected;
use crate::check::{Finding, Severity, memory_rules, nearest};
use crate::engine::Judged;
use crate::engine::alternatives::{Alternatives, Offer, alternatives};
use crate::engine::assumed::assumed as assumed_of;
use crate::engine::fit::{Answer, Answers, Go};
use crate::engine::pads::{PadAdvice, pads, stock_of};
use crate::fit::in_hand::{InHand, in_hand};
use crate::fit::memory::decode;
use crate::plan::{Fitting, Plan, PortKind};
use crate::read::plan::Typed;
use crate::read::sources::Sources;
use crate::read::stock::{self, Stock};
use crate::read::{dump, tables};
use crate::report::fit::{
    FitList, FitReport, write_csv, write_json, write_list, write_list_csv, write_list_json, write_table,
};
use crate::tables::grid::Channel;
use crate::tables::{Optic, Role, Tables};

/// Other optics that are proposed where the command does not say.
const USUAL_ALTERNATIVES: usize = 5;
/// Ports that a list shows unless all are asked for.
const MOST_PORTS: usize = 40;

pub(super) fn run(args: &FitArgs, common: &Common) -> Result<ExitCode, Failure> {
    let of_the_way = fit_plan::of_the_way(args).join(", ");
    match (&args.plan, &args.port) {
        (None, _) => on_the_command_line(args, common),
        (Some(_), _) if !of_the_way.is_empty() => Err(Failure::Refused(format!(
            "error: the way and the far port stand in the plan; {of_the_way}: for a check without one\n"
        ))),
        (Some(plan), Some(port)) => in_plan(plan, port, args, common),
        (Some(plan), None) => whole_plan(plan, args, common),
    }
}

/// What was read before a plan can be judged.
struct Prepared {
    plan: Plan,
    tables: Arc<Tables>,
    findings: Vec<Finding>,
    sources: Sources,
    /// Findings about the memory of the module in hand.
    memory: Vec<Finding>,
    stock: Option<Stock>,
    /// What was taken for granted, in words.
    assumed: Vec<String>,
}

impl Prepared {
    fn new(plan: Plan, tables: Arc<Tables>, findings: Vec<Finding>, sources: Sources) -> Self {
        Self { plan, tables, findings, sources, memory: Vec::new(), stock: None, assumed: Vec::new() }
    }
}

fn on_the_command_line(args: &FitArgs, common: &Common) -> Result<ExitCode, Failure> {
    if args.route.optic.is_empty() && args.route.class.is_none() && args.memory.is_none() {
        let text = "error: what is to be judged? Say --optic NAME, --class CLASS or --memory DUMP, or \
                    name a plan\n\nFor more information, try '--help'.\n";
        return Err(Failure::Refused(text.to_string()));
    }
    let color = output::error_color(common);
    let mut sources = Sources::default();
    let (tables, mut findings) = tables::load(&args.judge.tables, &mut sources);
    let mut typed = Typed::new(tables.clone(), &mut sources);
    let mut plan = fit_plan::build(args, &tables, &mut typed);
    findings.extend(typed.findings());
    engine::apply(&args.judge, &mut plan);
    let mut prepared = Prepared::new(plan, tables, findings, sources);
    prepared.put_in_hand(args, 0, color)?;
    prepared.assume_far_optic(args);
    prepared.take_stock(args);
    prepared.answer(0, args, common)
}

fn in_plan(path: &Path, port: &str, args: &FitArgs, common: &Common) -> Result<ExitCode, Failure> {
    let color = output::error_color(common);
    let reading = engine::load(path, &args.judge.tables, common);
    let (mut plan, tables, sources) = (reading.plan, reading.tables, reading.sources);
    engine::apply(&args.judge, &mut plan);
    let findings = reading.findings;
    engine::refuse_bad_input(&findings, &sources, color)?;
    let index = port_of(&plan, port)?;
    let mut prepared = Prepared::new(plan, tables, findings, sources);
    prepared.replace(args, index);
    prepared.put_in_hand(args, index, color)?;
    prepared.take_stock(args);
    prepared.answer(index, args, common)
}

/// The port of an id.
fn port_of(plan: &Plan, id: &str) -> Result<u32, Failure> {
    let name = |port: &crate::plan::Port| plan.names.get(port.name);
    if let Some(index) = plan.ports.iter().position(|port| name(port) == id) {
        return Ok(index as u32);
    }
    let meant = nearest(id, plan.ports.iter().map(name));
    let meant = meant.map_or_else(String::new, |name| format!("; did you mean `{name}`?"));
    Err(Failure::Refused(format!("error: no port of this plan is called `{id}`{meant}\n")))
}

impl Prepared {
    /// Lays what the command line says of the port over what the plan says.
    fn replace(&mut self, args: &FitArgs, port: u32) {
        let said = PortArgs::from(&args.near);
        let other = !args.route.optic.is_empty();
        if other {
            self.plan.ports[port as usize].optics = Some(self.plan.optic_set(args.route.optic.clone()));
        }
        if said.says_something() || other {
            let mut fitting = self.plan.fitting_of(port).cloned().unwrap_or_default();
            if other {
                fitting = fitting.without_module();
            }
            self.lay(&said, &mut fitting, port);
            self.plan.ports[port as usize].fitting = self.plan.fitting(fitting);
        }
    }

    /// Reads what is said of a port.
    fn lay(&mut self, said: &PortArgs<'_>, fitting: &mut Fitting, port: u32) {
        let mut typed = Typed::new(self.tables.clone(), &mut self.sources);
        said.lay(fitting, &mut typed);
        if let Some((argument, channel)) = said.said("channel") {
            path_plan::tune(&mut self.plan, port as usize, argument, channel, &mut typed);
        }
        fit_plan::stand_in(&mut self.plan, port as usize, said, &mut typed);
        self.findings.extend(typed.findings());
    }

    /// Puts the module of a memory dump into the port.
    fn put_in_hand(&mut self, args: &FitArgs, port: u32, color: bool) -> Result<(), Failure> {
        let Some(path) = &args.memory else { return Ok(()) };
        let read = dump::load(path, &mut self.sources);
        let image = match read {
            Ok(read) => read,
            Err(faults) => {
                self.findings.extend(faults);
                return engine::refuse_bad_input(&self.findings, &self.sources, color);
            }
        };
        let memory = match decode(&image.image, &self.tables) {
            Ok(memory) => memory,
            Err(fault) => {
                self.findings.push(memory_rules::refuse(&fault, &image.image, image.file));
                return engine::refuse_bad_input(&self.findings, &self.sources, color);
            }
        };
        self.memory = memory_rules::judge(&memory, &image.image, &self.tables, image.file);
        let InHand { optics, fitting: of_module } = in_hand(&memory, &self.tables);
        let name = match optics.as_slice() {
            [] => "unknown to its own memory".to_string(),
            [one] => one.clone(),
            several => several.join(" or "),
        };
        let fitting = self.plan.fitting_of(port).cloned().unwrap_or_default().without_module();
        let mut fitting = of_module.laid_over(fitting);
        self.plan.ports[port as usize].optics = Some(self.plan.optic_set(vec![name]));
        self.lay(&PortArgs::from(&args.near), &mut fitting, port);
        self.plan.ports[port as usize].fitting = self.plan.fitting(fitting);
        Ok(())
    }

    /// Without a word about the far optic it is the same one, or of a half the other half.
    fn assume_far_optic(&mut self, args: &FitArgs) {
        let stated = !args.route.far_optic.is_empty() || args.route.class.is_some();
        let near = self.plan.ports.first().and_then(|port| port.optics);
        let near = near.and_then(|set| self.plan.optic_sets.get(set as usize));
        let (Some(near), false, true) = (near, stated, self.plan.ports.len() > 1) else { return };
        let far: Vec<String> = near.iter().map(|optic| self.usual_far(optic, args)).collect();
        self.assumed.push(format!("the far end has {}, for none is stated", far.join(" and ")));
        self.plan.ports[1].optics = Some(self.plan.optic_set(far));
    }

    /// What faces an optic where nobody says, set to the channel of the near one.
    fn usual_far(&self, near: &str, args: &FitArgs) -> String {
        let optic = Optic::find(&self.tables, near, Role::Olt);
        let plain = optic.as_ref().and_then(|optic| optic.interface(&self.tables));
        let plain = plain.map_or(near, |row| row.key.as_str());
        let of_near = optic.as_ref().and_then(|optic| optic.channel).map(Channel::name);
        let lane = args.near.lane.is_some() || args.far.far_lane.is_some();
        let of_lane = if lane { self.tables.breakout_partner(plain) } else { None };
        let far = of_lane.map_or_else(|| usual_mate(&self.tables, plain), String::from);
        match args.far.far_channel.clone().or(of_near) {
            Some(channel) => format!("{far} {channel}"),
            None => far,
        }
    }

    fn take_stock(&mut self, args: &FitArgs) {
        if let Some(path) = &args.stock {
            let (stock, findings) = stock::load(path, &self.tables, &mut self.sources);
            self.findings.extend(findings);
            self.stock = Some(stock);
        }
    }

    /// Judges, answers and prints.
    fn answer(self, port: u32, args: &FitArgs, common: &Common) -> Result<ExitCode, Failure> {
        let color = output::error_color(common);
        let settings = Settings { statistics: !args.judge.no_statistics, cross_check: None };
        let (stock, memory, sources, mut assumed) =
            (self.stock, self.memory, self.sources, self.assumed);
        let mut judged =
            engine::judged(self.plan, self.tables, self.findings, &sources, settings, color)?;
        if args.plan.is_none() && args.route.length.is_none() {
            // That nothing is attached was not said of a plan: no way was stated at all.
            judged.findings.retain(|finding| finding.rule.id != unconnected::RULE.id);
        }
        let answers = Answers::new(&judged);
        let faulty_copy = memory.iter().any(|finding| finding.severity == Severity::Error);
        let answer = answers.of(port).with(memory);
        let pads = pad_advice(&judged, &answers, port, stock.as_ref());
        drop(answers);
        let most = args.alternatives.unwrap_or(if answer.go == Go::Go { 0 } else { USUAL_ALTERNATIVES });
        let usual = stock_of(&judged.tables);
        let offer = Offer {
            optics: stock.as_ref().map(|stock| stock.optics.as_slice()),
            pads: stock.as_ref().map_or(usual.as_slice(), |stock| stock.pads.as_slice()),
            faulty_copy,
        };
        let others =
            if most > 0 { alternatives(&mut judged, port, offer) } else { Alternatives::default() };
        assumed.extend(assumed_of(&judged, port));
        print(&judged, &sources, (&answer, &pads, &others, &assumed), most, args, common)
    }
}

fn pad_advice(
    judged: &Judged,
    answers: &Answers<'_>,
    port: u32,
    stock: Option<&Stock>,
) -> Vec<PadAdvice> {
    let usual = stock_of(&judged.tables);
    let stock = stock.map_or(usual.as_slice(), |stock| stock.pads.as_slice());
    pads(judged, answers.groups_of(port), stock)
}

fn print(
    judged: &Judged,
    sources: &Sources,
    (answer, pads, others, assumed): (&Answer, &[PadAdvice], &Alternatives, &[String]),
    most: usize,
    args: &FitArgs,
    common: &Common,
) -> Result<ExitCode, Failure> {
    let report = FitReport {
        view: judged.view(),
        answer,
        pads,
        alternatives: others,
        most_alternatives: most,
        assumed,
        files: sources.files(),
        width: output::width(),
    };
    let paint = output::paint(common, args.output.out.is_some());
    output::write(&args.output, |mut out| match args.output.format {
        Format::Table => write_table(&report, paint, &mut out),
        Format::Json => write_json(&report, &mut out),
        Format::Csv => write_csv(&report, &mut out),
    })?;
    Ok(exit::go(answer.go))
}

fn whole_plan(path: &Path, args: &FitArgs, common: &Common) -> Result<ExitCode, Failure> {
    let color = output::error_color(common);
    let alone = !args.route.optic.is_empty() || args.memory.is_some() || args.stock.is_some();
    if alone || PortArgs::from(&args.near).says_something() {
        let text = "error: for one module or stock, say which port: --port ID\n";
        return Err(Failure::Refused(text.to_string()));
    }
    let progress = Progress::start("reading the plan");
    let mut reading = engine::load(path, &args.judge.tables, common);
    engine::apply(&args.judge, &mut reading.plan);
    let sources = reading.sources;
    let settings = Settings { statistics: !args.judge.no_statistics, cross_check: None };
    progress.step("walking the light");
    let judged =
        engine::judged(reading.plan, reading.tables, reading.findings, &sources, settings, color)?;
    let answers = Answers::new(&judged);
    let equipped = |port: &u32| {
        let port = &judged.plan.ports[*port as usize];
        port.optics.is_some() && (args.all || port.kind == PortKind::Equipment)
    };
    let ports = (0..judged.plan.ports.len() as u32).filter(equipped);
    let mut list: Vec<Answer> = answers.of_each(ports);
    list.sort_by_key(|answer| std::cmp::Reverse((answer.go, answer.light)));
    drop(progress);
    let list = FitList {
        view: judged.view(),
        answers: &list,
        most: (!args.all).then_some(MOST_PORTS),
        files: sources.files(),
        width: output::width(),
    };
    let paint = output::paint(common, args.output.out.is_some());
    output::write(&args.output, |mut out| match args.output.format {
        Format::Table => write_list(&list, paint, &mut out),
        Format::Json => write_list_json(&list, &mut out),
        Format::Csv => write_list_csv(&list, &mut out),
    })?;
    Ok(exit::go(list.gravest()))
}
