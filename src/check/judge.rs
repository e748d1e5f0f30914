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
        Fault::StrandShared { cable, strand, first, origin } => {
            let name = plan.cables.get(usize::from(cable)).map_or("?", String::as_str);
            plan_rules::strand_used_twice::finding(name, strand, &files.describe(first), origin)
        }
    }
}
