//! `fit.unknown-card`: the card is in no table.

use super::Outcome;
use crate::check::nearest;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.unknown-card",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "no table has the type of the card",
    why: "what its cages take, which optics it drives and how much power it gives is then not checked",
    remedy: "add a row for the card to a table `cards` of your own, laid over with `--tables`",
    source: "common practice",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(written) = side.card_written else { return Outcome::Idle };
    if side.card.is_some() {
        return Outcome::Fits;
    }
    let message = format!("no table has the card `{written}`");
    match nearest(written, tables.cards.names()) {
        Some(near) => Outcome::hinted(message, format!("did you mean `{near}`?")),
        None => Outcome::hit(message),
    }
}
