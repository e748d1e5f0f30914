//! `fit.no-compensation`: 10GBASE-LRM in a host without dispersion compensation.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.no-compensation",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "10GBASE-LRM sits in a port without electronic dispersion compensation",
    why: "its receiver is linear and leaves the equalizing to the host",
    remedy: "use a port with electronic dispersion compensation, or another interface",
    source: "IEEE 802.3 clause 68 and SFF-8431, from memory",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let row = side.optic.and_then(|optic| optic.interface(tables));
    if row.is_none_or(|row| row.key != "10GBASE-LRM") {
        return Outcome::Idle;
    }
    match side.card {
        None => Outcome::Missing("whether the card compensates dispersion"),
        Some(card) if card.value.edc => Outcome::Fits,
        Some(card) => Outcome::hit(format!("card `{}` does not compensate dispersion", card.key)),
    }
}
