//! From a read plan to a judged one: what a program that embeds the engine calls.
//!
//! Holds: the order of the steps (graph, contradictions, light, rules), their results in one value, and
//! what is asked of a judged plan: whether an optic belongs where it is, which pad, what else would do, on
//! which cells of the tables it all rests.
//! Must not know: the terminal, files, how results are worded.
//! Start reading at [`judge`].

pub mod alternatives;
mod assume;
pub mod assumed;
pub mod fit;
mod own_ends;
pub mod pads;
pub mod rests;

use std::sync::Arc;

pub use assume::SpareLegs;

use crate::budget::{Assessment, Settings, assess};
use crate::check::judge::{graph_faults, judge as check};
use crate::check::standing::stand;
use crate::check::view::View;
use crate::check::{Finding, sort};
use crate::place::Files;
use crate::plan::Plan;
use crate::plant::Plant;
use crate::tables::Tables;

/// A plan, judged.
#[derive(Debug, Clone)]
pub struct Judged {
    /// The plan.
    pub plan: Plan,
    /// The tables it was judged with.
    pub tables: Arc<Tables>,
    /// Its graph.
    pub plant: Plant,
    /// Every end with its verdict.
    pub assessment: Assessment,
    /// The spare legs of splitters, where the plan assumes an optic for them.
    pub spare_legs: Vec<SpareLegs>,
    /// Findings of reading and of judging, sorted.
    pub findings: Vec<Finding>,
}

impl Judged {
    /// The judged plan as rules and reports see it.
    pub fn view(&self) -> View<'_> {
        View { plan: &self.plan, plant: &self.plant, tables: &self.tables, assessment: &self.assessment }
    }
}

/// Judges a plan.
///
/// `read` are the findings of reading it, `files` the names of the files read.
///
/// # Errors
/// All findings, sorted, when the input itself is at fault: nothing is judged then.
pub fn judge(
    mut plan: Plan,
    tables: Arc<Tables>,
    read: Vec<Finding>,
    files: &Files,
    settings: Settings,
) -> Result<Judged, Vec<Finding>> {
    let mut findings = read;
    if findings.iter().any(Finding::is_bad_input) {
        sort(&mut findings);
        return Err(findings);
    }
    assume::equip(&mut plan);
    let (plant, faults) = Plant::build(&plan);
    findings.extend(graph_faults(&plan, &faults, files));
    if findings.iter().any(Finding::is_bad_input) {
        sort(&mut findings);
        return Err(findings);
    }
    let assessment = assess(&plan, &plant, &tables, settings);
    let spare_legs = assume::spare_legs(&plan, &plant, &tables);
    let mut judged = Judged { plan, tables, plant, assessment, spare_legs, findings };
    let found = check(&judged.view());
    judged.findings.extend(found);
    judged.findings.extend(assume::unknown(&judged.plan, &judged.tables));
    sort(&mut judged.findings);
    let Judged { plan, tables, plant, assessment, findings, .. } = &mut judged;
    stand(plan, plant, tables, assessment, findings);
    Ok(judged)
}
