//! `spanwright budget`: every end of a plan.

use std::process::ExitCode;

use super::args::{BudgetArgs, Common};
use super::engine;
use super::exit::{self, Failure};
use super::output;
use super::progress::Progress;
use crate::budget::{Detail, Settings, detail, hazards};
use crate::check::nearest;
use crate::engine::Judged;
use crate::read::sources::Sources;
use crate::report::budget::Budget;

/// Ends that a table shows unless all are asked for.
const MOST_ENDS: usize = 20;
/// Open connectors that are named.
const MOST_HAZARDS: usize = 5;

pub(super) fn run(args: &BudgetArgs, common: &Common) -> Result<ExitCode, Failure> {
    let color = output::error_color(common);
    let progress = Progress::start("reading the plan");
    let mut reading = engine::load(&args.plan, &args.judge.tables, common);
    engine::apply(&args.judge, &mut reading.plan);
    let settings = Settings {
        statistics: !args.judge.no_statistics,
        cross_check: args.cross_check.map(|trials| (trials, args.seed)),
    };
    let sources = reading.sources;
    progress.step("walking the light");
    let judged =
        engine::judged(reading.plan, reading.tables, reading.findings, &sources, settings, color)?;
    drop(progress);
    let details = match &args.end {
        Some(end) => details(&judged, end)?,
        None => Vec::new(),
    };
    print(&judged, &sources, &details, args, common)
}

/// The paths of every end of one port, both ways.
fn details(judged: &Judged, id: &str) -> Result<Vec<Detail>, Failure> {
    let view = judged.view();
    let ends = judged
        .assessment
        .ends
        .iter()
        .filter(|end| view.port_name(end.receiver) == id || view.port_name(end.transmitter) == id);
    let found: Vec<Detail> = ends
        .filter_map(|end| detail(view.plan, view.plant, view.tables, view.assessment, end))
        .collect();
    if !found.is_empty() {
        return Ok(found);
    }
    let names = judged.plan.ports.iter().map(|port| judged.plan.names.get(port.name));
    let meant = nearest(id, names).map_or_else(String::new, |name| format!("; did you mean `{name}`?"));
    Err(Failure::Refused(format!("error: no end of this plan is called `{id}`{meant}\n")))
}

fn print(
    judged: &Judged,
    sources: &Sources,
    details: &[Detail],
    args: &BudgetArgs,
    common: &Common,
) -> Result<ExitCode, Failure> {
    let view = judged.view();
    let hazards = hazards(view.plan, view.plant, view.tables, view.assessment, MOST_HAZARDS);
    let budget = Budget {
        view,
        findings: &judged.findings,
        files: sources.files(),
        spare_legs: &judged.spare_legs,
        hazards: &hazards,
        details,
        most_ends: (!args.all).then_some(MOST_ENDS),
        width: output::width(),
    };
    output::write_budget(&budget, &args.output, common)?;
    Ok(exit::findings(budget.has_errors()))
}
