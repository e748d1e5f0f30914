//! `fit.face`: the optical face is not the one of the interface.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::{FiberKind, Tables};

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.face",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the stated face of the module is not the usual one of its interface",
    why: "a parallel single-mode interface has angled faces, a multimode one flat ones; the wrong cord scratches both",
    remedy: "look at the module: the cord follows the face that is there",
    source: "IEEE 802.3 medium dependent interfaces of the clauses; from memory",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(row) = side.optic.and_then(|optic| optic.interface(tables)) else { return Outcome::Idle };
    let Some(face) = side.face.filter(|face| !face.is_unstated()) else { return Outcome::Idle };
    let usual = row.value.connector.to_uppercase();
    let array = row.value.fibers > 2;
    let wrong = match face.is_array() {
        Some(is) if !usual.is_empty() && is != usual.contains("MPO") => {
            Some(format!("{} usually has {}", row.key, row.value.connector))
        }
        _ => None,
    };
    let polish = face.polish.as_deref();
    let angled = array && row.value.fiber_kind == FiberKind::SingleMode;
    let flat = array && row.value.fiber_kind == FiberKind::Multimode;
    let wrong = wrong.or_else(|| match polish {
        Some(polish) if angled && polish != "APC" => {
            Some(format!("{} usually has an angled array", row.key))
        }
        Some("APC") if flat => Some(format!("{} usually has a flat array", row.key)),
        _ => None,
    });
    wrong.map_or(Outcome::Fits, |usual| {
        Outcome::hit(format!("the face is {}, and {usual}", face.words()))
    })
}
