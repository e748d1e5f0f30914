//! `fit.blocked`: a wdm element lets the light through one way only.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.blocked",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "a wdm element on the way does not pass the return wavelength",
    why: "the OLT hears nothing of an ONU that hears it well",
    remedy: "use the leg made for the system, or ONUs whose band the element passes (reduced-band GPON)",
    source: "ITU-T G.984.5 (wavelength bands of coexistence elements), restated in public texts",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| end.against.blocked) {
        let first = group.ends[0];
        let band = view.assessment.pair(first).band;
        let message = format!(
            "{} cannot be heard: a wdm element does not pass {} to {} upstream",
            group.count_words(),
            band.shortest,
            band.longest,
        );
        findings.push(group.hit(&RULE, message));
    }
}
