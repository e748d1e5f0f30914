//! `fit.receiver-band`: the receiver is not specified for the wavelength that arrives.

use crate::budget::{End, Reason};
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.receiver-band",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the wavelength that arrives is outside what the receiver is specified for",
    why: "a filtered receiver stays dark; an unfiltered one may work by luck, which no standard promises",
    remedy: "put optics of matching wavelengths at both ends",
    source: "IEEE 802.3 receiver wavelength ranges; ITU-T G.984.2 and G.9807.1",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let outside = |end: &End| view.assessment.pair(end).received == Some(false) && end.reason != Reason::Blocked;
    for group in view.ends_where(outside) {
        let first = group.ends[0];
        let pair = view.assessment.pair(first);
        let message = format!(
            "{}: {} of `{}` is outside the receiver range of `{}`",
            view.end_name(first),
            pair.band.nominal,
            view.optic_name(pair.transmitter),
            view.optic_name(pair.receiver),
        );
        findings.push(group.hit(&RULE, message));
    }
}
