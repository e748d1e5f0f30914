//! `fit.power`: the module takes more power than the cage gives.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.power",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the module takes more electrical power than its cage is cooled and fed for",
    why: "the port shuts down or heats its neighbors; long-reach and tunable modules are the usual case",
    remedy: "use a port that gives more, or a module of a lower power class",
    source: "SFF-8431 and SFF-8636 power classes, from memory; the row of the card in the table `cards`",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, _: &Tables) -> Outcome {
    let Some(card) = side.card else {
        let stated = "the power that the cage gives the module: a known card";
        return Outcome::Missing(if side.power.is_some() { stated } else { "a known card" });
    };
    let Some(gives) = card.value.cage_power else {
        return Outcome::Missing("the power that the card gives a cage");
    };
    let Some(takes) = side.power else { return Outcome::Missing("the power of the module") };
    if takes.value() <= gives.value() + 1e-9 {
        return Outcome::Fits;
    }
    Outcome::hit(format!("the module takes {takes:.2}, a cage of card `{}` gives {gives:.2}", card.key))
}
