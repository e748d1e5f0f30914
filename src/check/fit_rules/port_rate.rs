//! `fit.port-rate`: the port is set to another rate than the optic has.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::cage::is_same_rate;
use crate::fit::facts::Side;
use crate::tables::{Role, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.port-rate",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the optic has a rate that the port is not set to, or that the card cannot be set to",
    why: "the link never comes up although light arrives",
    remedy: "set the port to the rate of the optic, at both ends",
    source: "common practice",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(rate) = side.link_rate(tables) else { return Outcome::Idle };
    // Both rates of a PON are matters of its class, which `fit.card-optic` looks at.
    if side.optic.is_some_and(|optic| optic.role != Role::Peer) {
        return Outcome::Idle;
    }
    let rates = side.port_rates();
    if rates.is_empty() {
        return Outcome::Missing("the rate the port is set to, or a known card");
    }
    let whole = side.optic.and_then(|optic| optic.rate(tables)).unwrap_or(rate);
    if rates.iter().any(|known| is_same_rate(*known, rate) || is_same_rate(*known, whole)) {
        return Outcome::Fits;
    }
    // Of a breakout, the port is set to the rate of a child, and not every child is one lane.
    let children = side.lane.map_or_else(Vec::new, |_| tables.rates_of_children(side.optic_name()));
    if rates.iter().any(|known| children.iter().any(|child| is_same_rate(*known, *child))) {
        return Outcome::Fits;
    }
    let rates: Vec<String> = rates.iter().map(ToString::to_string).collect();
    let lane = side.lane.map_or_else(String::new, |lane| format!("lane {lane} of "));
    let (optic, rates) = (side.optic_name(), rates.join(" or "));
    Outcome::hit(format!("{lane}{optic} runs at {rate}, the port at {rates}"))
}
