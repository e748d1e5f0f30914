//! `inventory.far-end-claimed-twice`: two rows name the same far end.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-end-claimed-twice",
    severity: Severity::Error,
    concern: Concern::Plant,
    what: "two rows name the same far end",
    why: "one port has one jumper: one of the rows is wrong",
    remedy: "look at the far end",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::FarSite], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let back = if said.detail.0 == 1 { ", and is named back" } else { "" };
    (format!("`{}` names the same far end `{}`{back}", said.far_port(), said.far_end()), String::new())
}
