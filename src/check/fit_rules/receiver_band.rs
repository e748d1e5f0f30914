//! `fit.receiver-band`: the receiver is not specified for the wavelength that arrives.

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
    for group in view.ends_where(|end| end.against.receiver_band) {
        let mut wrong: Vec<String> = Vec::new();
        for end in &group.ends {
            let pair = view.assessment.pair(end);
            let (sends, hears) = (view.optic_name(pair.transmitter), view.optic_name(pair.receiver));
            let line =
                format!("{} of `{sends}` is outside the receiver range of `{hears}`", pair.band.nominal);
            if !wrong.contains(&line) {
                wrong.push(line);
            }
        }
        let message = format!("{}: {}", group.count_words(), wrong.join("; "));
        findings.push(group.hit(&RULE, message));
    }
}
