//! `fit.card-optic`: the card does not drive this optic.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::{Role, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.card-optic",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the card does not support the optic",
    why: "a port drives only what its card was made for: rate, line coding and protocol come from the card",
    remedy: "use an optic from the list of the card, or another card",
    source: "the row of the card in the table `cards`",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(optic) = side.optic else { return Outcome::Idle };
    let Some(card) = side.card else { return Outcome::Missing("a known card") };
    // The card drives the electrical side of an ONU in a module, and not its PON.
    if optic.role == Role::Onu || card.value.interfaces.is_empty() {
        return Outcome::Idle;
    }
    if card.value.admits_optic(tables, optic) {
        return Outcome::Fits;
    }
    let message = format!("card `{}` does not list {}", card.key, optic.name);
    Outcome::hinted(message, format!("it lists {}", card.value.interfaces.join(", ")))
}
