//! `fit.temperature`: the module is not made for the temperatures of the place.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.temperature",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the temperature range of the module is too small for the place",
    why: "a case in a street cabinet goes far beyond 0 to 70 °C: the laser drifts, then fails",
    remedy: "use a module of a wider temperature range, or an air-conditioned place",
    source: "SFF and multi-source case temperature ranges, from memory; common practice for the kinds of place",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(place) = side.place else { return Outcome::Missing("the kind of place") };
    let Some(range) = side.temperature else {
        return Outcome::Missing("the temperature range of the module");
    };
    let ranges = tables.temperature_ranges.rows();
    match range.value.serves(place, ranges) {
        None => return Outcome::Missing("a temperature range for this kind of place"),
        Some(true) => return Outcome::Fits,
        Some(false) => {}
    }
    let (least, most) = (range.value.least, range.value.most);
    let message = format!(
        "temperature range {} ({least:.0} to {most:.0}) is too small for a place of the kind `{place}`",
        range.key
    );
    let suited = ranges.iter().find(|row| row.value.serves(place, ranges) == Some(true));
    match suited {
        Some(row) => Outcome::hinted(
            message,
            format!("range {} ({:.0} to {:.0}) does", row.key, row.value.least, row.value.most),
        ),
        None => Outcome::hit(message),
    }
}
