//! `fit.same-side-bidi`: two equal halves of a single-fiber pair face each other.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::{Side, Way};
use crate::tables::{Interface, Row, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.same-side-bidi",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two equal halves of a single-fiber pair face each other",
    why: "both send on one wavelength and both listen on the other: dark both ways",
    remedy: "exchange the optic at one end for the other half",
    source: "IEEE 802.3 clauses 58, 59, 158 to 160: single-fiber interfaces come as upstream and downstream halves",
};

/// Judges two ends that face each other.
pub fn judge(near: &Side<'_>, far: &Side<'_>, _: &Way<'_>, tables: &Tables) -> Outcome {
    let interface = |side: &Side<'_>| side.optic.and_then(|optic| optic.interface(tables));
    let (Some(a), Some(b)) = (interface(near), interface(far)) else { return Outcome::Idle };
    if a.value.fibers != 1 || b.value.fibers != 1 {
        return Outcome::Idle;
    }
    let sends_alike = match (a.value.transmit.first(), b.value.transmit.first()) {
        (Some(first), Some(second)) => {
            first.shortest <= second.longest && second.shortest <= first.longest
        }
        _ => return Outcome::Missing("the wavelengths of both halves"),
    };
    let is_own_mate = |row: &Row<Interface>| row.value.mates_with.contains(&row.key);
    if !sends_alike || (a.key == b.key && is_own_mate(a)) {
        return Outcome::Fits;
    }
    let at = |row: &Row<Interface>| {
        row.value.transmit.first().map_or_else(String::new, |band| band.nominal.to_string())
    };
    let message = if at(a) == at(b) {
        format!("{} and {} both send at {}", a.key, b.key, at(a))
    } else {
        format!("{} sends at {}, and {} at {} in the same band", a.key, at(a), b.key, at(b))
    };
    match a.value.mates_with.first() {
        Some(mate) => Outcome::hinted(message, format!("the mate of {} is {mate}", a.key)),
        None => Outcome::hit(message),
    }
}
