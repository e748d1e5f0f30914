//! `fit.card-power`: the modules of a card take more power than it gives in all.

use std::collections::BTreeMap;

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity};
use crate::units::Watts;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.card-power",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the modules of one card together take more power than it gives",
    why: "each module is within its cage, and the card still shuts ports down or runs hot",
    remedy: "spread the hungry modules over cards, or leave ports empty",
    source: "the row of the card in the table `cards`",
};

/// Hits of the rule in a judged plan: one for each card of which enough modules state their power.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut cards: BTreeMap<&str, (Vec<u32>, f64)> = BTreeMap::new();
    for (index, port) in view.plan.ports.iter().enumerate() {
        let power = view.plan.fitting_of(index as u32).and_then(|fitting| fitting.power);
        let (Some(power), Some(_)) = (power, port.optics) else { continue };
        let name = view.plan.names.get(port.name);
        let Some((slot, _)) = name.rsplit_once('/') else { continue };
        let card = cards.entry(slot).or_default();
        card.0.push(index as u32);
        card.1 += power.value();
    }
    for (slot, (ports, sum)) in cards {
        let first = ports[0];
        let fitting = view.plan.fitting_of(first);
        let card = fitting.and_then(|fitting| view.tables.cards.get(fitting.card.as_deref()?));
        let Some((card, gives)) = card.and_then(|card| Some((card, card.value.card_power?))) else {
            continue;
        };
        if sum > gives.value() + 1e-9 {
            let takes = Watts::new(sum);
            let message =
                format!("the modules of `{slot}` take {takes:.2}, card `{}` gives {gives:.2}", card.key);
            findings.push(RULE.hit(view.port_origin(first), slot, message).about_ports(ports));
        }
    }
}
