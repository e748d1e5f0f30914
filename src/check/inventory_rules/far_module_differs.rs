//! `inventory.far-module-differs`: the optic that a row has for its far end is not the one of the far row.

use super::facts::{At, Detail, Entry, Judge, Said, shortened};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.far-module-differs",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the optic that a row has for its far end is not the one of the far row",
    why: "it was copied by hand, or one end was changed",
    remedy: "take the far row's word, or look",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry {
    rule: &RULE,
    needs: &[Column::FarModule, Column::Module],
    judge: Judge::Receiver(check),
    say,
};

fn check(near: &At<'_>, far: &At<'_>) -> Option<Detail> {
    let (copied, own) = (near.profile.far_optic.as_ref(), far.profile.optic.as_ref());
    let differ = match (copied, own) {
        (Some(copied), Some(own)) => copied.name != own.name,
        _ => {
            let (copied, own) = (near.profile.far_module_print, far.profile.module_print);
            copied != 0 && own != 0 && copied != own
        }
    };
    differ.then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "has `{}` for the far end; `{}` has `{}`",
            said.shown(Column::FarModule),
            said.far_port(),
            shortened(said.far.cell(Column::Module))
        ),
        String::new(),
    )
}
