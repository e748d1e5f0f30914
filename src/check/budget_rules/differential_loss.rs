//! `budget.differential-loss`: the burst receiver may meet levels too far apart.

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};

/// The rule.
pub static RULE: Rule = Rule {
    id: "budget.differential-loss",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the losses of a PON's ends may differ by more than its class allows",
    why: "the burst receiver must bridge from the strongest to the weakest ONU",
    remedy: "even out the splits, or pad the strongest ends",
    source: "ITU-T G.984.2, G.987.2, G.9807.1 differential optical path loss (15 dB, from memory of the tables)",
};

/// Hits of the rule in a judged plan.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    for group in view.pons() {
        let Some(limit) = view.class(group).and_then(|class| class.differential_loss) else { continue };
        let Some(spread) = group.loss_spread[1] else { continue };
        if spread.value() > limit.value() + 1e-9 {
            let name = view.port_name(group.port);
            let message = format!(
                "upstream losses behind `{name}` may differ by {}, {limit} allowed",
                spread.rounded_up()
            );
            findings
                .push(RULE.hit(view.port_origin(group.port), name, message).about_ports([group.port]));
        }
    }
}
