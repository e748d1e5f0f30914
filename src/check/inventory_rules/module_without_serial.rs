//! `inventory.module-without-serial`: an optic is recorded without a serial number.

use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;
use crate::inventory::Oper;
use crate::inventory::flag;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.module-without-serial",
    severity: Severity::Note,
    concern: Concern::Plant,
    what: "an optic is recorded without a serial number",
    why: "it cannot be found in the list of optics, and spares are counted wrong",
    remedy: "read the serial number from the module",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::Module, Column::Serial], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    let recorded = at.profile.has_module && at.profile.oper != Oper::Empty;
    (recorded && at.is_real() && !at.row.has(flag::HAS_SERIAL)).then_some((0, 0))
}

fn say(said: &Said<'_>) -> (String, String) {
    (format!("optic `{}` without a serial number", said.shown(Column::Module)), String::new())
}
