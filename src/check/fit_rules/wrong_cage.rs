//! `fit.wrong-cage`: the module does not seat in the cage.

use super::Outcome;
use crate::check::words::with_article;
use crate::check::{Concern, Rule, Severity};
use crate::fit::cage::{Caged, caged};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.wrong-cage",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the module does not seat in the cage, or no module of this optic fits it",
    why: "a forced module bends contacts, and the port is dead until the shelf is opened",
    remedy: "use a module of the form factor that the cage is made for",
    source: "form factor agreements (INF-8074i, SFF-8432, SFF-8665, QSFP-DD and OSFP hardware), from memory",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    let cage = side.cage.map_or("", |cage| cage.key.as_str());
    match caged(side, tables) {
        Caged::DoesNotSeat { form, why } => {
            Outcome::hit(format!("{} is {form}, the cage takes {cage}: {why}", module(side)))
        }
        Caged::NoForm { carried_by } => {
            let cage = with_article(cage);
            let message = format!("no module that {cage} cage takes carries {}", side.optic_name());
            match carried_by.as_slice() {
                [] => Outcome::hit(message),
                forms => Outcome::hinted(message, format!("it comes as {}", forms.join(", "))),
            }
        }
        Caged::NotStated(datum) => Outcome::Missing(datum),
        _ => Outcome::Fits,
    }
}

/// The module in words.
fn module(side: &Side<'_>) -> String {
    match side.optic_name() {
        "" => "the module".to_string(),
        optic => format!("the module with {optic}"),
    }
}
