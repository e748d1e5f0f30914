//! The engine with what the command line adds: settings that go before the plan's, drawn faults.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::args::{Common, EndConnectorsArg, JudgeArgs};
use super::exit::Failure;
use crate::budget::Settings;
use crate::check::{Finding, sort};
use crate::engine::{Judged, judge};
use crate::place::Origin;
use crate::plan::{EndConnectors, Plan};
use crate::read::plan::{self, PlanReading};
use crate::read::sources::Sources;
use crate::report::diagnostic;
use crate::tables::Tables;

/// What the command line says goes before what the plan says.
pub(super) fn apply(args: &JudgeArgs, plan: &mut Plan) {
    let given = &mut plan.assumptions;
    given.confidence = args.confidence.unwrap_or(given.confidence);
    given.reserve = args.reserve.unwrap_or(given.reserve);
    given.dirt = args.dirty.or(given.dirt);
    if args.assume_optic.is_some() {
        given.assumed_optic = args.assume_optic.clone().map(|name| (name, Origin::COMMAND_LINE));
    }
    given.end_connectors = match args.end_connectors {
        Some(EndConnectorsArg::Counted) => EndConnectors::Counted,
        Some(EndConnectorsArg::Excluded) => EndConnectors::Excluded,
        None => given.end_connectors,
    };
}

/// Reads a plan, within the bounds that the command line sets.
pub(super) fn load(plan: &Path, tables: &[PathBuf], common: &Common) -> PlanReading {
    if common.confine { plan::load_confined(plan, tables) } else { plan::load(plan, tables) }
}

/// Judges a plan, or draws why its input cannot be understood.
pub(super) fn judged(
    plan: Plan,
    tables: Arc<Tables>,
    read: Vec<Finding>,
    sources: &Sources,
    settings: Settings,
    color: bool,
) -> Result<Judged, Failure> {
    judge(plan, tables, read, sources.files(), settings)
        .map_err(|findings| Failure::BadInput(diagnostic::render(&findings, sources, color)))
}

/// Bad input ends the command: every finding is drawn, and nothing is done.
pub(super) fn refuse_bad_input(
    findings: &[Finding],
    sources: &Sources,
    color: bool,
) -> Result<(), Failure> {
    if findings.iter().any(Finding::is_bad_input) {
        let mut sorted = findings.to_vec();
        sort(&mut sorted);
        return Err(Failure::BadInput(diagnostic::render(&sorted, sources, color)));
    }
    Ok(())
}
