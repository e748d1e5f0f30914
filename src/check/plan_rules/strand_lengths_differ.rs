//! `plan.strand-lengths-differ`: two strands of one cable between the same places are of unlike lengths.

use crate::check::{Concern, Finding, Rule, Severity};
use crate::place::Files;
use crate::plan::Plan;
use crate::plant::unlike_lengths;

/// More than what stranding, slack and a coil at an end make of one sheath's length.
const FACTOR: f64 = 2.0;

/// The rule.
pub static RULE: Rule = Rule {
    id: "plan.strand-lengths-differ",
    severity: Severity::Warning,
    concern: Concern::Input,
    what: "one strand of a cable is more than twice as long as another one between the same places",
    why: "strands of one sheath are of one length but for stranding and coils; one of the lengths, or its unit, is a slip, and its loss is wrong by as much",
    remedy: "correct the length, or give the span the cable that it really runs in",
    source: "common practice",
};

/// Cables with strands of unlike lengths.
pub fn check(plan: &Plan, files: &Files, findings: &mut Vec<Finding>) {
    for [short, long] in unlike_lengths(plan, FACTOR) {
        let (short, long) = (&plan.spans[short as usize], &plan.spans[long as usize]);
        let cable = short.cable.and_then(|cable| plan.cables.get(usize::from(cable)));
        let cable = cable.map_or("?", String::as_str);
        let strand = |number: u32| match number {
            0 => "a strand".to_string(),
            number => format!("strand {number}"),
        };
        let message = format!(
            "{} of cable `{cable}` is {} long, but {} between the same places is {} (at {})",
            strand(short.strand),
            short.length,
            strand(long.strand),
            long.length,
            files.describe(long.origin)
        );
        findings.push(RULE.hit(short.origin, cable, message));
    }
}
