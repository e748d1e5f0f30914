//! `budget.unknown`: a datum is missing, so nothing may be claimed.

use crate::budget::{Anomaly, End, Reason};
use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.unknown",
    severity: Severity::Error,
    concern: Concern::Datum,
    what: "a needed datum is missing: the end cannot be judged",
    why: "an unknown that passes for good is found out on turn-up day",
    remedy: "add the datum: a row in a table of your own, or a measured loss in the plan",
    source: "common practice",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let unknown = |end: &End| {
        matches!(
            end.reason,
            Reason::DispersionUnknown
                | Reason::Missing(_)
                | Reason::NoWindow
                | Reason::NoOverload
                | Reason::NoReach
        )
    };
    for group in view.ends_where(unknown) {
        let first = group.ends[0];
        let message = format!("{} cannot be judged: {}", group.count_words(), view.missing_words(first));
        findings.push(group.hit(&RULE, message));
    }
    let mut told = rustc_hash::FxHashSet::default();
    for anomaly in &view.assessment.anomalies {
        if let Anomaly::NoWavelength { port, optic, far_port } = *anomaly
            && told.insert((port, optic))
        {
            let name = view.port_name(port);
            let optic = view.optic_name(optic);
            let message = format!(
                "the transmit wavelength of `{optic}` in `{name}` is not known: say its channel, or fill \
                 `tx_nm` of its row in the table `interfaces`"
            );
            let far = far_port.map_or_else(String::new, |far| format!(" to {}", view.port_name(far)));
            findings.push(
                RULE.hit(view.port_origin(port), format!("{name}{far}"), message).about_ports([port]),
            );
        }
    }
}
