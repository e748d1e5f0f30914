//! `fit.cage-undecided`: whether the module works in the cage depends on a missing datum.

use super::Outcome;
use crate::check::words::with_article;
use crate::check::{Concern, Rule, Severity};
use crate::fit::cage::{Caged, caged};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.cage-undecided",
    severity: Severity::Warning,
    concern: Concern::Datum,
    what: "whether the module works in this cage cannot be told",
    why: "a module that seats may still be dead: the port must have its rate as a mode",
    remedy: "state the card or the rate of the port, and the form factor of the module",
    source: "SFF-8431, SFF-8665; common practice, from memory",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    match caged(side, tables) {
        Caged::Undecided { form, why, datum } => {
            let cage = side.cage.map_or("", |cage| cage.key.as_str());
            let (form, cage) = (with_article(form), with_article(cage));
            let message = format!("{form} module in {cage} cage works on a condition: {why}");
            Outcome::hinted(message, format!("what is missing is {datum}"))
        }
        _ => Outcome::Idle,
    }
}
