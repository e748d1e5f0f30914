//! `budget.measured-too-good`: a span was measured to lose less than its fiber can.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity, words};
use crate::loss::ElementRef;
use crate::units::Decibels;

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.measured-too-good",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a span was measured to lose less than its fiber is known to lose at least",
    why: "a reading below the fiber's own loss means a bad reference, another wavelength or another length",
    remedy: "reference the meter anew and measure again; state the wavelength of the reading",
    source: "common practice (lower bound of a loss measurement)",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for (index, span) in view.plan.spans.iter().enumerate() {
        let Some(measured) = span.measured.and_then(|m| view.plan.measured.get(m as usize)) else {
            continue;
        };
        let fiber = &view.plan.fibers[usize::from(span.fiber)];
        let name = view.tables.fibers.get(fiber).map_or(fiber.as_str(), |row| row.key.as_str());
        for stated in &measured.values {
            let bands = view.assessment.pairs.bands.iter().map(|band| band.nominal);
            let used: Vec<_> = stated.at.map_or_else(|| bands.collect(), |at| vec![at]);
            let least = used
                .into_iter()
                .filter_map(|at| {
                    Some((at, view.tables.attenuations.at(name, at)?.0.least * span.length.value()))
                })
                .max_by(|a, b| a.1.value().total_cmp(&b.1.value()));
            let Some((at, least)) = least else { continue };
            if stated.loss + stated.uncertainty < least - Decibels::new(0.01) {
                let subject = words::element(view.plan, ElementRef::Span(index as u32));
                let message = format!(
                    "{subject} was measured to lose {} ± {}; its {} of {fiber} lose at least {} at {at}",
                    stated.loss,
                    stated.uncertainty,
                    span.length,
                    least.rounded_down()
                );
                findings.push(RULE.hit(measured.origin, subject, message));
            }
        }
    }
}
