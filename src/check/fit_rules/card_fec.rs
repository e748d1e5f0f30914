//! `fit.card-fec`: the card lacks the error correction that the interface needs.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::{FEC_WORDS, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.card-fec",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the port lacks the error correction that the interface needs, or has it switched off",
    why: "the levels of the interface count on the correction: without it frames are lost though light arrives",
    remedy: "use a port that has it, and switch it on at both ends",
    source: "IEEE 802.3 clauses 74, 91, 108, 119, 134; from memory which interface needs which",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(row) = side.optic.and_then(|optic| optic.interface(tables)) else { return Outcome::Idle };
    let needs = row.value.fec.as_str();
    if needs.is_empty() {
        return Outcome::Missing("the error correction that the interface needs");
    }
    // Coherent modules correct errors themselves.
    if !FEC_WORDS.contains(&needs) || ["none", "cfec", "ofec"].contains(&needs) {
        return Outcome::Idle;
    }
    if let Some(set) = side.fec {
        let message = format!("{} needs error correction {needs}, the port is set to {set}", row.key);
        return if set == needs { Outcome::Fits } else { Outcome::hit(message) };
    }
    match side.card {
        None => Outcome::Missing("the error correction of the port, or a known card"),
        Some(card) if card.value.fec.iter().any(|known| known == needs) => Outcome::Fits,
        Some(card) => {
            let (optic, card) = (&row.key, &card.key);
            Outcome::hit(format!("{optic} needs error correction {needs}, which card `{card}` lacks"))
        }
    }
}
