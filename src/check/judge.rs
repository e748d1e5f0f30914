//! All rules over a plan: first what the graph contradicts, then what the light meets.

use super::view::View;
use super::{Finding, budget_rules, fit_rules, plan_rules, sort};
use crate::place::Files;
use crate::plan::Plan;
use crate::plant::Fault;

/// Findings of a judged plan, sorted.
pub fn judge(view: &View<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    plan_rules::unconnected::check(view, &mut findings);
    budget_rules::run(view, &mut findings);
    fit_rules::run(view, &mut findings);
    sort(&mut findings);
    findings
}

/// Contradictions in the graph and in measured values, as findings about the input.
pub fn graph_faults(plan: &Plan, faults: &[Fault], files: &Files) -> Vec<Finding> {
    let mut findings: Vec<Finding> =
        faults.iter().map(|fault| graph_fault(plan, fault, files)).collect();
    plan_rules::impossible_measurement::check(plan, &mut findings);
    plan_rules::length_too_short::check(plan, &mut findings);
    plan_rules::names_differ_in_case::check(plan, files, &mut findings);
    plan_rules::strand_lengths_differ::check(plan, files, &mut findings);
    findings
}

fn graph_fault(plan: &Plan, fault: &Fault, files: &Files) -> Finding {
    match *fault {
        Fault::EndsMeet { point, origin } => {
            plan_rules::ends_meet::finding(&plan.point_name(point), origin)
        }
        Fault::Taken { point, takes, first, origin } => {
            let (name, first) = (plan.point_name(point), files.describe(first));
            plan_rules::point_taken::finding(&name, point, takes, &first, origin)
        }
        Fault::Loop { from, to, origin } => {
            plan_rules::loop_closed::finding(&plan.point_name(from), &plan.point_name(to), origin)
        }
        Fault::StrandShared { cable, strand, first, clash, origin } => {
            let first = files.describe(first);
            plan_rules::strand_used_twice::finding(plan, (cable, strand), clash, &first, origin)
        }
        Fault::StrandUnplaced { cable, strand, point, first, origin } => {
            let first = files.describe(first);
            plan_rules::strand_without_place::finding(plan, (cable, strand), point, &first, origin)
        }
    }
}
