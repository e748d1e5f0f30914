//! The order of the steps: names are joined, restored, judged; then every row and every pair.

use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::against::{self, PlanPort};
use super::claims::{self, Matched, hit};
use super::edits::{Edit, edits};
use super::join::{Joined, join};
use super::restore::{Restored, restore};
use super::rows::{Looked, look};
use super::shared::{self, Shared};
use super::{Texts, cards, cohorts, doubles, identifiers, silent, suggest, uplinks};
use crate::check::fit_rules::{Outcome, SIDE_RULES};
use crate::check::inventory_rules::facts::{Hit, Limits, Planned, Sight};
use crate::check::inventory_rules::{
    self, ENTRIES, far_end_claimed_twice, far_end_disagrees, far_end_one_sided, far_end_unknown,
    site_spellings, unit_mix, unknown_optic, unknown_word,
};
use crate::check::policy::Policy;
use crate::inventory::{Column, ColumnSet, Inventory, Row, Turn, far_end};
use crate::tables::Tables;

/// What is judged with.
#[derive(Debug, Clone, Copy)]
pub struct Choice<'a> {
    /// Reference tables.
    pub tables: &'a Tables,
    /// Limits.
    pub limits: &'a Limits,
    /// Which rules run, how grave they are.
    pub policy: &'a Policy,
    /// Ports of a plan that the rows are held against.
    pub plan: Option<&'a [PlanPort]>,
}

/// A rule that could not say everything, and why.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct NotChecked {
    /// The rule's id.
    pub rule: &'static str,
    /// The column or datum that is missing.
    pub missing: String,
    /// Rows that it says nothing of for that reason.
    pub rows: u64,
}

/// A judged inventory.
#[derive(Debug, Default)]
pub struct Audit {
    /// All hits, by row, then rule.
    pub hits: Vec<Hit>,
    /// How the far ends stand.
    pub matched: Matched,
    /// The smallest set of changes of far ends.
    pub edits: Vec<Edit>,
    /// Names that were restored.
    pub restored: Vec<Restored>,
    /// What was not checked.
    pub not_checked: Vec<NotChecked>,
    /// The plan's ports; empty without a plan.
    pub plan_ports: Vec<Planned>,
    /// Which row each row's far end names.
    pub target: Vec<u32>,
}

/// Names joined, before anything is judged.
#[derive(Debug)]
pub struct Prepared {
    joined: Joined,
    restored: Vec<Restored>,
}

/// Joins far ends with names and restores what the far ends tell.
pub fn prepare(inventory: &mut Inventory) -> Prepared {
    let mut joined = join(&inventory.rows);
    let restored = restore(inventory, &mut joined);
    Prepared { joined, restored }
}

/// Runs every rule.
///
/// # Errors
/// A row that a hit has to be compared with cannot be read again.
pub fn run<T: Texts>(
    inventory: &Inventory,
    prepared: Prepared,
    choice: Choice<'_>,
    texts: &mut T,
) -> Result<Audit, T::Trouble> {
    let Prepared { joined, restored } = prepared;
    let cohorts = cohorts::cohorts(inventory, choice.tables);
    let sight = Sight { inventory, tables: choice.tables, limits: choice.limits, cohorts: &cohorts };
    let Looked { mut hits, represented, matched, open } = look(sight, &joined.target, choice.policy);
    let namesakes = doubles::judge(inventory, &joined, texts, &mut hits)?;
    if choice.policy.runs(&far_end_claimed_twice::RULE) {
        claims::claimed_twice(inventory, &joined, &namesakes, &mut hits);
    }
    hits.extend(identifiers::judge(inventory, &joined.target, &represented, texts)?);
    drop(represented);
    hits.extend(cards::cards(inventory));
    hits.extend(uplinks::uplinks(inventory));
    if let Some(plan) = choice.plan {
        hits.extend(against::judge(inventory, plan, &joined.target, choice.limits));
    }
    whole(inventory, &mut hits);
    suggestions(inventory, &joined.target, texts, &mut hits)?;
    hits.retain(|hit| choice.policy.runs(shared::rule_of(hit.rule)));
    hits.par_sort_unstable();
    hits.dedup();
    // Whoever does not ask about far ends is not told how to change them.
    let about_ends = [&far_end_disagrees::RULE, &far_end_one_sided::RULE, &far_end_claimed_twice::RULE];
    let asked = about_ends.iter().any(|rule| choice.policy.runs(rule));
    let edits = if asked { edits(inventory, &joined, &open) } else { Vec::new() };
    let mut not_checked = not_checked(sight, choice.policy);
    if choice.plan.is_none() {
        not_checked.retain(|one| !against::is_about_plans(one.rule));
    }
    let plan_ports = choice.plan.unwrap_or_default().iter().map(PlanPort::worded).collect();
    Ok(Audit { plan_ports, hits, matched, edits, restored, not_checked, target: joined.target })
}

/// Whether the columns that a rule needs are there.
pub(super) fn has_all(columns: ColumnSet, needs: &[Column]) -> bool {
    // A far end may stand in one cell instead of two.
    let stands_in = |column: &Column| *column == Column::FarSite && columns.has(Column::FarEnd);
    needs.iter().all(|column| columns.has(*column) || stands_in(column))
}

/// Rules about columns and sites as wholes.
fn whole(inventory: &Inventory, hits: &mut Vec<Hit>) {
    for (index, site) in inventory.sites.iter().enumerate() {
        if site.spellings.len() > 1 {
            hits.push(hit(&site_spellings::ENTRY, Row::NO_ID, Row::NO_ID, (index as i32, 0)));
        }
    }
    for detail in unknown_word::hits(inventory) {
        hits.push(hit(&unknown_word::ENTRY, Row::NO_ID, Row::NO_ID, detail));
    }
    let turns: FxHashMap<(Column, Turn), u64> =
        inventory.turns.all().map(|(column, turn, example)| ((column, turn), example.count)).collect();
    for (column, turn) in turns.keys() {
        let written = turns.contains_key(&(*column, Turn::UnitInCell));
        let mixes = *turn == Turn::LengthUnit || (*turn == Turn::Milliwatts && written);
        if mixes {
            hits.push(hit(&unit_mix::ENTRY, Row::NO_ID, Row::NO_ID, (*column as i32, *turn as i32)));
        }
    }
}

/// Puts the likeliest meant row to far ends that nobody has.
fn suggestions<T: Texts>(
    inventory: &Inventory,
    target: &[u32],
    texts: &mut T,
    hits: &mut [Hit],
) -> Result<(), T::Trouble> {
    let unknown = inventory_rules::index_of(&far_end_unknown::ENTRY);
    let mut asked = Vec::new();
    for hit in hits.iter().filter(|hit| hit.rule == unknown).take(suggest::MOST) {
        let written = texts.written(hit.row, false)?;
        let (mut site, mut port) = (written.cell(Column::FarSite), written.cell(Column::FarPort));
        if let Some((a, b)) = far_end::part(written.cell(Column::FarEnd)) {
            (site, port) = (a, b);
        }
        asked.push((hit.row, suggest::slips(site, port)));
    }
    let meant = suggest::suggest(inventory, target, &asked);
    for hit in hits.iter_mut().filter(|hit| hit.rule == unknown) {
        hit.other = meant.get(&hit.row).copied().unwrap_or(Row::NO_ID);
    }
    Ok(())
}

/// Rows of each profile.
fn profile_counts(inventory: &Inventory) -> Vec<u64> {
    let counts: Vec<AtomicU64> = inventory.profiles.iter().map(|_| AtomicU64::new(0)).collect();
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    pieces.par_iter().for_each(|(_, rows)| {
        // Neighbors mostly share their words: one addition for each run.
        for run in rows.chunk_by(|a, b| a.profile == b.profile) {
            counts[run[0].profile as usize].fetch_add(run.len() as u64, Ordering::Relaxed);
        }
    });
    counts.into_iter().map(AtomicU64::into_inner).collect()
}

/// Rules that could say nothing of some files, for want of a column.
fn missing_columns(inventory: &Inventory, policy: &Policy) -> Vec<NotChecked> {
    let all = inventory.rows.len() as u32;
    let ends = inventory.parts.iter().skip(1).map(|(first, _)| *first).chain([all]);
    let mut missing: FxHashMap<(&'static str, String), u64> = FxHashMap::default();
    for ((first, columns), end) in inventory.parts.iter().zip(ends) {
        for entry in ENTRIES.iter().filter(|entry| policy.runs(entry.rule)) {
            let lacks = |column: &&Column| !has_all(*columns, &[**column]);
            let names: Vec<&str> =
                entry.needs.iter().filter(lacks).map(|column| column.name()).collect();
            if !names.is_empty() {
                let names = format!("column {}", names.join(", "));
                *missing.entry((entry.rule.id, names)).or_default() += u64::from(end - first);
            }
        }
    }
    let silent = silent::silent(inventory);
    for entry in ENTRIES.iter().filter(|entry| policy.runs(entry.rule)) {
        let says_nothing = |column: &&Column| silent.has(**column);
        let names: Vec<&str> =
            entry.needs.iter().filter(says_nothing).map(|column| column.name()).collect();
        if !names.is_empty() && has_all(inventory.columns, entry.needs) {
            let names = format!("any value in column {}", names.join(", "));
            missing.insert((entry.rule.id, names), u64::from(all));
        }
    }
    missing.into_iter().map(|((rule, missing), rows)| NotChecked { rule, missing, rows }).collect()
}

/// Rules that could say nothing, for want of a column, and shared rules that miss a datum.
fn not_checked(sight: Sight<'_>, policy: &Policy) -> Vec<NotChecked> {
    let inventory = sight.inventory;
    let mut list: Vec<NotChecked> = missing_columns(inventory, policy);
    let counts = profile_counts(inventory);
    let mut missing: FxHashMap<(&'static str, &'static str), u64> = FxHashMap::default();
    for (profile, count) in inventory.profiles.iter().zip(&counts) {
        if profile.is_blank || profile.is_empty_slot {
            continue;
        }
        if profile.is_electrical && policy.runs(&unknown_optic::RULE) {
            let cables = "an optic: copper and attached cables are not judged";
            *missing.entry((unknown_optic::RULE.id, cables)).or_default() += count;
        }
        for (n, one) in SIDE_RULES.iter().enumerate().filter(|(_, one)| policy.runs(one.rule)) {
            if let Outcome::Missing(datum) =
                shared::outcome(Shared::Side(n), profile, profile, sight.tables)
            {
                *missing.entry((one.rule.id, datum)).or_default() += count;
            }
        }
    }
    list.extend(missing.into_iter().map(|((rule, datum), rows)| NotChecked {
        rule,
        missing: datum.to_string(),
        rows,
    }));
    list.sort_unstable();
    list
}
