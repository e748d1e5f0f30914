//! `fit.not-pluggable`: the optic is soldered in.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.not-pluggable",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "the optic is part of the board and cannot be changed",
    why: "a change of optic there is a change of card",
    remedy: "plan with the optic as it is",
    source: "SFF-8024 identifier 02h",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, _: &Tables) -> Outcome {
    match side.form.or(side.cage) {
        None => Outcome::Idle,
        Some(form) if form.value.pluggable => Outcome::Fits,
        Some(form) => Outcome::hit(format!("a module of the form `{}` cannot be taken out", form.key)),
    }
}
