//! `inventory.site-spellings`: one site is written in several ways.

use super::facts::{Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.site-spellings",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "one site is written in several ways",
    why: "people search for one and miss the other",
    remedy: "write one of them everywhere",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[Column::Site], judge: Judge::Whole, say };

fn say(said: &Said<'_>) -> (String, String) {
    let site = said.inventory.sites.get(said.detail.0 as usize);
    let names: Vec<&str> =
        site.map_or_else(Vec::new, |site| site.spellings.iter().map(|s| &**s).collect());
    (format!("one site is written `{}`", names.join("`, `")), String::new())
}
