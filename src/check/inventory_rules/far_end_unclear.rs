//! `inventory.far-end-unclear`: what is written for the far end names no port.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{Column, flag};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-end-unclear",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "what is written for the far end names no port",
    why: "a person, `same as above` or a town cannot be matched",
    remedy: "write site and port of the far end",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[], judge: Judge::Marked(flag::FAR_UNCLEAR, check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    at.row.has(flag::FAR_UNCLEAR).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    let both = said.cell(Column::FarEnd).is_empty();
    let what = if both && said.cell(Column::FarSite).is_empty() { "site" } else { "port" };
    (format!("the far end `{}` names no {what}", said.far_end()), String::new())
}
