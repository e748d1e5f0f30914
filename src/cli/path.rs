//! `spanwright path`: one path, everything on the command line.

use std::process::ExitCode;

use super::args::{Common, PathArgs, RouteArgs};
use super::exit::{self, Failure};
use super::{engine, output, path_plan};
use crate::budget::{Detail, End, Settings, detail};
use crate::read::plan::Typed;
use crate::read::sources::Sources;
use crate::read::tables;
use crate::report::budget::Budget;

pub(super) fn run(args: &PathArgs, common: &Common) -> Result<ExitCode, Failure> {
    let color = output::error_color(common);
    needed(&args.route)?;
    let mut sources = Sources::default();
    let (tables, mut findings) = tables::load(&args.judge.tables, &mut sources);
    let mut typed = Typed::new(tables.clone(), &mut sources);
    let mut plan = path_plan::build(&args.route, &tables, &mut typed);
    // A path has no cords of its own: its connectors are held against no face.
    plan.assumptions.usual_polish = true;
    let same = args.channel.as_ref().filter(|_| args.route.far_optic.is_empty());
    let far = args.far_channel.as_ref().map(|channel| ("--far-channel", channel));
    let channels = [
        args.channel.as_ref().map(|channel| ("--channel", channel)),
        far.or(same.map(|channel| ("--channel", channel))),
    ];
    for (port, said) in channels.into_iter().enumerate() {
        if let Some((argument, channel)) = said {
            path_plan::tune(&mut plan, port, argument, channel, &mut typed);
        }
    }
    findings.extend(typed.findings());
    engine::apply(&args.judge, &mut plan);
    let settings = Settings { statistics: !args.judge.no_statistics, cross_check: None };
    let judged = engine::judged(plan, tables, findings, &sources, settings, color)?;
    let view = judged.view();
    let details: Vec<Detail> = different(&judged.assessment.ends)
        .into_iter()
        .filter_map(|end| detail(view.plan, view.plant, view.tables, view.assessment, end))
        .collect();
    let budget = Budget {
        view,
        findings: &judged.findings,
        files: sources.files(),
        spare_legs: &judged.spare_legs,
        hazards: &[],
        details: &details,
        most_ends: None,
        width: output::width(),
    };
    output::write_budget(&budget, &args.output, common)?;
    Ok(exit::findings(budget.has_errors()))
}

/// A path needs a length and something that sends light.
fn needed(route: &RouteArgs) -> Result<(), Failure> {
    let missing = [
        (route.length.is_none(), "--length <LENGTH>"),
        (route.optic.is_empty() && route.class.is_none(), "--optic <NAME> or --class <CLASS>"),
    ];
    let missing: Vec<&str> = missing.into_iter().filter(|one| one.0).map(|one| one.1).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let list = missing.join("\n  ");
    let text =
        format!("error: these arguments are needed:\n  {list}\n\nFor more information, try '--help'.\n");
    Err(Failure::Refused(text))
}

/// The ends that differ in more than their ports: a path with equal optics is shown one way only.
fn different(ends: &[End]) -> Vec<&End> {
    let mut shown: Vec<&End> = Vec::new();
    for end in ends {
        let same =
            |other: &&End| other.pair == end.pair && other.most == end.most && other.least == end.least;
        if !shown.iter().any(same) {
            shown.push(end);
        }
    }
    shown
}
