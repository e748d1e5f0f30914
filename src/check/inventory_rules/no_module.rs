//! `inventory.no-module`: a port is up but no optic is recorded.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, Oper, Profile};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.no-module",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "a port is up but no optic is recorded",
    why: "without the optic neither reach, levels nor spares can be checked",
    remedy: "record the optic",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::Oper], judge: Judge::Words(check), say };

fn check(profile: &Profile) -> bool {
    !profile.has_module && profile.oper == Oper::Up
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("`{}` is up without an optic in the record", said.port()), String::new())
}
