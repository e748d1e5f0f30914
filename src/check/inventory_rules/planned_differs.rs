//! `inventory.planned-differs`: the optic that is plugged is not the one that was planned.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Profile};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.planned-differs",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the optic that is plugged is not the one that was planned",
    why: "budgets and spares were counted with the planned one",
    remedy: "plug the planned optic, or change the plan",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry {
    rule: &RULE,
    needs: &[Column::Module, Column::PlannedModule],
    judge: Judge::Words(check),
    say,
};

fn check(profile: &Profile) -> bool {
    let both = profile.planned.as_ref().zip(profile.optic.as_ref());
    both.is_some_and(|(planned, found)| planned.name != found.name)
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "`{}` was planned, `{}` is there",
            said.shown(Column::PlannedModule),
            said.shown(Column::Module)
        ),
        String::new(),
    )
}
