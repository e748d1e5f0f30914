//! `fit.form-cannot`: the optic does not come in this form factor.

use super::Outcome;
use crate::check::{Concern, Rule, Severity};
use crate::fit::cage::{Signal, carries, may_carry};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.form-cannot",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the optic is not carried by a module of the stated form factor",
    why: "the record of the module contradicts itself: one of the two words is wrong, and nobody knows which",
    remedy: "read the form factor and the interface type off the module itself",
    source: "rates of the form factor agreements, from memory",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let Some(form) = side.form else { return Outcome::Missing("the form factor of the module") };
    let signal = side.optic.and_then(|optic| Signal::of(optic, tables));
    let Some(signal) = signal else { return Outcome::Idle };
    if may_carry(&form.value, signal, tables) || !form.value.pluggable {
        return Outcome::Fits;
    }
    let forms = tables.form_factors.rows().iter().filter(|row| carries(&row.value, signal));
    let forms: Vec<&str> = forms.map(|row| row.key.as_str()).collect();
    let lanes = if signal.lanes > 1 { format!(" on {} lanes", signal.lanes) } else { String::new() };
    let message = format!(
        "{} runs at {}{lanes}, which no {} module carries",
        side.optic_name(),
        signal.rate,
        form.key
    );
    if forms.is_empty() {
        return Outcome::hit(message);
    }
    Outcome::hinted(message, format!("it comes as {}", forms.join(", ")))
}
