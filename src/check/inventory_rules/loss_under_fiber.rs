//! `inventory.loss-under-fiber`: the path loses less than its fiber alone must.

use super::facts::hundredths;
use super::facts::{At, Detail, Entry, Judge, Said};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::Column;

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.loss-under-fiber",
    severity: Severity::Warning,
    concern: Concern::Plant,
    what: "the path loses less than its fiber alone must",
    why: "the length or the loss is wrong",
    remedy: "measure again with the right reference",
    source: "ITU-T G.652 fiber; least figures of the table fiber-attenuation",
};

/// How it looks at an inventory.
pub static ENTRY: Entry =
    Entry { rule: &RULE, needs: &[Column::PathLength, Column::PathLoss], judge: Judge::Row(check), say };

fn check(at: &At<'_>) -> Option<Detail> {
    // Hundredths of dB, in which losses are kept: a path at the limit itself is not below it.
    const HAIR: i32 = 30;
    let (loss, length) = (at.row.path_loss()?, at.length()?);
    let per_km = at.sight.cohorts.get(at.row.profile as usize)?.least_per_km?;
    let (loss, least) = (hundredths(loss.value()), hundredths((per_km * length.value()).value()));
    (loss + HAIR < least).then_some((loss, least))
}

fn say(said: &Said<'_>) -> (String, String) {
    (
        format!(
            "{} dB over the path length `{}`: so much fiber alone loses at least {} dB",
            said.first(),
            said.shown(Column::PathLength),
            said.second()
        ),
        String::new(),
    )
}
