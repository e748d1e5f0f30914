//! `fit.rate-group`: ports that share one rate hold optics of different rates.

use std::collections::BTreeMap;

use crate::check::view::View;
use crate::check::{Concern, Finding, Rule, Severity, plan_facts};
use crate::fit::cage::is_same_rate;
use crate::units::GigabitsPerSecond;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.rate-group",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "ports of one group are to run at different rates",
    why: "a group of ports shares one clock: set for one rate, it leaves the others dead",
    remedy: "move the odd optic to a port of another group",
    source: "common practice; the row of the card in the table `cards`",
};

/// Hits of the rule in a judged plan: one for each group of ports.
pub fn check(view: &View<'_>, findings: &mut Vec<Finding>) {
    let mut groups: BTreeMap<(&str, u16), Vec<(u32, GigabitsPerSecond)>> = BTreeMap::new();
    for index in 0..view.plan.ports.len() as u32 {
        let Some(optic) = view.assessment.pairs.of_port(view.plan, index).first() else { continue };
        let side = plan_facts::side(view, index, Some(*optic));
        let Some(group) = side.card.map(|card| card.value.group).filter(|group| *group > 1) else {
            continue;
        };
        let place = side.name.rsplit_once('/');
        let number = place.and_then(|(slot, port)| Some((slot, port.parse::<u16>().ok()?)));
        let (Some((slot, number)), Some(rate)) = (number, side.link_rate(view.tables)) else { continue };
        groups.entry((slot, number.saturating_sub(1) / group)).or_default().push((index, rate));
    }
    for ((slot, _), ports) in groups {
        let (first, rate) = ports[0];
        let Some((odd, other)) = ports.iter().find(|(_, other)| !is_same_rate(*other, rate)) else {
            continue;
        };
        let (name, odd_name) = (view.port_name(first), view.port_name(*odd));
        let message =
            format!("`{name}` runs at {rate}, and `{odd_name}`, which shares its rate, at {other}");
        findings.push(RULE.hit(view.port_origin(*odd), slot, message).about_ports([first, *odd]));
    }
}
