//! `budget.no-ends`: nothing was judged.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::place::{FileId, Origin};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.no-ends",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "no light of any optic reaches any other: there is nothing to judge",
    why: "a plan in which nothing is judged is not a plan in which all is well",
    remedy: "describe ports with optics and the spans between them (`spanwright init` writes an example)",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    if view.assessment.ends.is_empty() {
        let origin = view.plan.ports.first().map_or(Origin::whole(FileId(0)), |port| port.origin);
        findings.push(RULE.hit(origin, "plan", "no end of this plan receives any light"));
    }
}
