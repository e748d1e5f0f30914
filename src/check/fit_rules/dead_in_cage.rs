//! `fit.dead-in-cage`: the module seats and stays dead.

use super::Outcome;
use crate::check::words::with_article;
use crate::check::{Concern, Rule, Severity};
use crate::fit::cage::{Caged, caged};
use crate::fit::facts::Side;
use crate::tables::Tables;

/// The rule.
pub static RULE: Rule = Rule {
    id: "fit.dead-in-cage",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "the module seats in the cage but cannot work there",
    why: "it is reported as present and never comes up: the electrical side runs at other rates",
    remedy: "set the port to the rate of the module, where it has it; otherwise use another module or another port",
    source: "SFF-8431, SFF-8665, QSFP-DD hardware agreement; common practice, from memory",
};

/// Judges one port.
pub fn judge(side: &Side<'_>, tables: &Tables) -> Outcome {
    match caged(side, tables) {
        Caged::Dead { form, why } => {
            let cage = side.cage.map_or("", |cage| cage.key.as_str());
            let (form, cage) = (with_article(form), with_article(cage));
            Outcome::hit(format!("{form} module in {cage} cage: {why}"))
        }
        Caged::NotStated(_) | Caged::Undecided { .. } => Outcome::Idle,
        _ => Outcome::Fits,
    }
}
