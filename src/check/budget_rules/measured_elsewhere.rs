//! `budget.measured-elsewhere`: a span was measured, but not at a wavelength in use.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity, words};
use crate::loss::ElementRef;

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.measured-elsewhere",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "a span's measured loss does not serve a wavelength in use, or serves it without saying at which it was read",
    why: "at a wavelength that was not measured the table's figures count; a reading without a wavelength counts at all of them",
    remedy: "measure at the wavelengths in use, or state the wavelength of the reading",
    source: "common practice (loss depends on the wavelength)",
};

/// Readings serve wavelengths this near to their own.
const WITHIN_NM: f64 = 15.0;

/// Hits of the rule in a judged plan: one for all spans that have the same gap.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let measured = view.plan.spans.iter().enumerate();
    let measured =
        measured.filter_map(|(i, span)| Some((i, view.plan.measured.get(span.measured? as usize)?)));
    let mut gaps: std::collections::BTreeMap<String, (usize, u32)> = std::collections::BTreeMap::new();
    for (index, readings) in measured {
        if readings.values.iter().any(|stated| stated.at.is_none()) {
            gaps.entry("its reading states no wavelength and is taken at every one".into())
                .or_insert((index, 0))
                .1 += 1;
            continue;
        }
        for band in &view.assessment.pairs.bands {
            let near =
                |at: crate::units::Nanometers| (at.value() - band.nominal.value()).abs() <= WITHIN_NM;
            if !readings.values.iter().any(|stated| stated.at.is_some_and(near)) {
                let gap = format!(
                    "it was not measured near {}: the table's figures count there",
                    band.nominal
                );
                gaps.entry(gap).or_insert((index, 0)).1 += 1;
            }
        }
    }
    for (gap, (first, count)) in gaps {
        let subject = words::element(view.plan, ElementRef::Span(first as u32));
        let more = if count > 1 { format!(" (and {} more spans)", count - 1) } else { String::new() };
        findings.push(RULE.hit(
            view.plan.spans[first].origin,
            subject.clone(),
            format!("{subject}{more}: {gap}"),
        ));
    }
}
