//! `budget.dispersion`: more chromatic dispersion than the interface stands.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.dispersion",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the chromatic dispersion is beyond what the interface stands",
    why: "the eye closes however much light arrives; neither an amplifier nor an attenuator helps",
    remedy: "shorten the way, compensate, or take optics with a higher dispersion limit",
    source: "IEEE 802.3 dispersion limits; ITU-T G.652 dispersion envelope; where no limit is stated, the textbook forms 1e5 / B² and 0.115 / (B w)",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.ends_where(|end| end.against.dispersion) {
        let farthest = group.farthest();
        let [low, high] = view.assessment.pair(farthest).dispersion;
        let Some((least, most)) = farthest.dispersion else { continue };
        let limit = |limit: Option<crate::units::PsPerNm>| {
            limit.map_or_else(|| "?".to_string(), |d| d.to_string())
        };
        let assumed = if view.assessment.pair(farthest).dispersion_is_assumed {
            " (from the bit rate: the interface states no limit)"
        } else {
            ""
        };
        let message = format!(
            "{}: dispersion {least} to {most}, allowed {} to {}{assumed}",
            view.end_name(farthest),
            limit(low),
            limit(high),
        );
        findings.push(group.hit_at(farthest, &RULE, message));
    }
}
