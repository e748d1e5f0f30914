//! The order of the steps: names are joined, restored, judged; then every row and every pair.

use std::sync::atomic::{AtomicU64, Ordering};

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::against::{self, PlanPort};
use super::claims::{self, Matched, agree, hit};
use super::edits::{Edit, edits};
use super::join::{Joined, join};
use super::restore::{Restored, restore};
use super::same::{self, Identifier};
use super::shared::{self, Memory, Shared};
use super::{Texts, groups, suggest};
use crate::check::fit_rules::{Outcome, SIDE_RULES};
use crate::check::inventory_rules::facts::{At, Entry, Hit, Judge, Limits, Sight};
use crate::check::inventory_rules::{
    self, ENTRIES, circuit_many_ports, far_end_unknown, frame_port_twice, group_shares, jumper_twice,
    row_shifted, serial_twice, site_spellings, strand_twice, unit_mix,
};
use crate::check::policy::Policy;
use crate::inventory::{Column, ColumnSet, Inventory, Profile, Row, Turn, flag, name};
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
    /// Ids of the plan's ports; empty without a plan.
    pub plan_ports: Vec<String>,
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
    let cohorts = groups::cohorts(inventory, choice.tables);
    let sight = Sight { inventory, tables: choice.tables, limits: choice.limits, cohorts: &cohorts };
    let (mut hits, represented) = rows_and_pairs(sight, &joined, choice.policy);
    let (matched, open) = claims::judge(inventory, &joined, &mut hits);
    identifiers(inventory, &joined.target, &represented, texts, &mut hits)?;
    drop(represented);
    hits.extend(groups::cards(inventory));
    hits.extend(groups::uplinks(inventory));
    if let Some(plan) = choice.plan {
        hits.extend(against::judge(inventory, plan, &joined.target, choice.limits));
    }
    whole(inventory, &mut hits);
    suggestions(inventory, &joined.target, texts, &mut hits)?;
    hits.retain(|hit| choice.policy.runs(shared::rule_of(hit.rule)));
    hits.par_sort_unstable();
    hits.dedup();
    let edits = edits(inventory, &joined, &open);
    let mut not_checked = not_checked(sight, choice.policy);
    if choice.plan.is_none() {
        not_checked.retain(|one| !against::is_about_plans(one.rule));
    }
    let plan_ports = choice.plan.unwrap_or_default().iter().map(|port| port.name.clone()).collect();
    Ok(Audit { plan_ports, hits, matched, edits, restored, not_checked, target: joined.target })
}

type WordsRule = fn(&Profile) -> bool;
type RowRule = fn(&At<'_>) -> Option<(i32, i32)>;

/// The rules that look at rows and pairs, sorted by how they look.
#[derive(Default)]
struct Plan {
    rows: Vec<(u16, RowRule)>,
    marked: Vec<(u16, u32, RowRule)>,
    /// All marks that any rule asks for.
    marks: u32,
    /// Rules that find fault with the words alone, by profile.
    words: Vec<Vec<u16>>,
    entries: Vec<(u16, &'static Entry)>,
    /// Shared rules that find fault, by profile.
    profiles: Vec<Vec<Shared>>,
}

impl Plan {
    fn of(sight: Sight<'_>, policy: &Policy) -> Self {
        let columns = sight.inventory.columns;
        let mut plan = Self::default();
        let mut words: Vec<(u16, WordsRule)> = Vec::new();
        for (number, entry) in ENTRIES.iter().enumerate() {
            if !policy.runs(entry.rule) || !has_all(columns, entry.needs) {
                continue;
            }
            match entry.judge {
                Judge::Row(check) => plan.rows.push((number as u16, check)),
                Judge::Marked(marks, check) => {
                    plan.marked.push((number as u16, marks, check));
                    plan.marks |= marks;
                }
                Judge::Words(check) => words.push((number as u16, check)),
                Judge::Whole => {}
                _ => plan.entries.push((number as u16, entry)),
            }
        }
        let profiles = &sight.inventory.profiles;
        let wrong = |p: &Profile| words.iter().filter(|(_, check)| check(p)).map(|(n, _)| *n).collect();
        plan.words = profiles.iter().map(wrong).collect();
        plan.profiles = profiles.par_iter().map(|p| shared::of_profile(p, sight.tables)).collect();
        plan
    }
}

fn has_all(columns: ColumnSet, needs: &[Column]) -> bool {
    // A far end may stand in one cell instead of two.
    let stands_in = |column: &Column| *column == Column::FarSite && columns.has(Column::FarEnd);
    needs.iter().all(|column| columns.has(*column) || stands_in(column))
}

/// Hits of rows and pairs, and which rows are represented by their far ends in shared identifiers.
fn rows_and_pairs(sight: Sight<'_>, joined: &Joined, policy: &Policy) -> (Vec<Hit>, Vec<u8>) {
    let plan = Plan::of(sight, policy);
    let pieces: Vec<(u32, &[Row])> = sight.inventory.rows.pieces().collect();
    let one = |memory: &mut Memory, (first, rows): &(u32, &[Row])| {
        let mut hits = Vec::new();
        let mut represented = vec![0; rows.len()];
        for (n, row) in rows.iter().enumerate() {
            let index = first + n as u32;
            let named = joined.target[index as usize];
            judge_row(sight, &plan, index, row, &mut hits);
            if named != Row::NO_ID {
                represented[n] = judge_pair(sight, &plan, memory, (index, row), named, &mut hits);
            }
        }
        (hits, represented)
    };
    let parts: Vec<(Vec<Hit>, Vec<u8>)> = pieces.par_iter().map_init(Memory::default, one).collect();
    let mut all = (Vec::new(), Vec::with_capacity(sight.inventory.rows.len()));
    for (hits, represented) in parts {
        all.0.extend(hits);
        all.1.extend(represented);
    }
    all
}

fn judge_row(sight: Sight<'_>, plan: &Plan, index: u32, row: &Row, hits: &mut Vec<Hit>) {
    if row.has(flag::SHIFTED) {
        hits.push(hit(&row_shifted::ENTRY, index, Row::NO_ID, (0, 0)));
        return;
    }
    let at = At::new(sight, row);
    for (rule, check) in &plan.rows {
        if let Some(detail) = check(&at) {
            hits.push(Hit { row: index, rule: *rule, other: Row::NO_ID, detail });
        }
    }
    if row.flags & plan.marks != 0 {
        for (rule, marks, check) in &plan.marked {
            if let Some(detail) = check(&at).filter(|_| row.flags & marks != 0) {
                hits.push(Hit { row: index, rule: *rule, other: Row::NO_ID, detail });
            }
        }
    }
    for rule in &plan.words[row.profile as usize] {
        hits.push(Hit { row: index, rule: *rule, other: Row::NO_ID, detail: (0, 0) });
    }
    for shared in &plan.profiles[row.profile as usize] {
        hits.push(Hit { row: index, rule: shared.number(), other: Row::NO_ID, detail: (0, 0) });
    }
}

/// Judges a pair from one side; returns in which identifiers the other side stands for this one.
fn judge_pair(
    sight: Sight<'_>,
    plan: &Plan,
    memory: &mut Memory,
    (index, row): (u32, &Row),
    named: u32,
    hits: &mut Vec<Hit>,
) -> u8 {
    let other = sight.inventory.rows.get(named);
    if !agree(row, other) || row.has(flag::SHIFTED) || other.has(flag::SHIFTED) || row.near == row.far {
        return 0;
    }
    let profiles = &sight.inventory.profiles;
    let (near, far) = (At::new(sight, row), At::new(sight, other));
    let first = row.near < other.near;
    let allowed = memory.allowed((row.profile, other.profile), profiles, sight.tables);
    for (rule, entry) in &plan.entries {
        let found = match entry.judge {
            Judge::Receiver(check) => check(&near, &far),
            Judge::Light(check) => check(&near, &far, &allowed),
            Judge::Pair(check) if first => check(&near, &far),
            _ => None,
        };
        if let Some(detail) = found {
            hits.push(Hit { row: index, rule: *rule, other: named, detail });
        }
    }
    if first {
        let found = memory.pair((row.profile, other.profile), profiles, sight.tables);
        hits.extend(found.iter().map(|shared| Hit {
            row: index,
            rule: shared.number(),
            other: named,
            detail: (0, 0),
        }));
        return 0;
    }
    let same = |a: u32, b: u32, identifier| if a == b { same::bit(identifier) } else { 0 };
    same(row.circuit, other.circuit, Identifier::Circuit)
        | same(row.strand, other.strand, Identifier::Strand)
        | same(row.jumper, other.jumper, Identifier::Jumper)
}

/// Identifiers that stand twice. Fingerprints may be equal by chance, so the texts are compared.
fn identifiers<T: Texts>(
    inventory: &Inventory,
    target: &[u32],
    represented: &[u8],
    texts: &mut T,
    hits: &mut Vec<Hit>,
) -> Result<(), T::Trouble> {
    for (identifier, first, other) in same::shared(inventory, target, represented) {
        let (entry, column) = match identifier {
            Identifier::Serial => (&serial_twice::ENTRY, Column::Serial),
            Identifier::Circuit => (&circuit_many_ports::ENTRY, Column::Circuit),
            Identifier::Frame => (&frame_port_twice::ENTRY, Column::FramePort),
            Identifier::Strand => (&strand_twice::ENTRY, Column::Strand),
            Identifier::Jumper => (&jumper_twice::ENTRY, Column::Jumper),
            Identifier::Group => (&group_shares::ENTRY, Column::DiversityGroup),
        };
        let (a, b) = (texts.written(first, false)?, texts.written(other, false)?);
        if name::site(a.cell(column)) == name::site(b.cell(column)) {
            hits.push(hit(entry, other, first, (0, 0)));
        }
    }
    Ok(())
}

/// Rules about columns and sites as wholes.
fn whole(inventory: &Inventory, hits: &mut Vec<Hit>) {
    for (index, site) in inventory.sites.iter().enumerate() {
        if site.spellings.len() > 1 {
            hits.push(hit(&site_spellings::ENTRY, Row::NO_ID, Row::NO_ID, (index as i32, 0)));
        }
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
        if let Some((a, b)) = name::part_far_end(written.cell(Column::FarEnd)) {
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

/// Rules that could say nothing, for want of a column, and shared rules that miss a datum.
fn not_checked(sight: Sight<'_>, policy: &Policy) -> Vec<NotChecked> {
    let inventory = sight.inventory;
    let all = inventory.rows.len() as u64;
    let mut list: Vec<NotChecked> = Vec::new();
    for entry in ENTRIES.iter().filter(|entry| policy.runs(entry.rule)) {
        let columns = inventory.columns;
        let missing: Vec<&str> = entry
            .needs
            .iter()
            .filter(|column| !has_all(columns, &[**column]))
            .map(|column| column.name())
            .collect();
        if !missing.is_empty() {
            let missing = format!("column {}", missing.join(", "));
            list.push(NotChecked { rule: entry.rule.id, missing, rows: all });
        }
    }
    let counts = profile_counts(inventory);
    let mut missing: FxHashMap<(&'static str, &'static str), u64> = FxHashMap::default();
    for (profile, count) in inventory.profiles.iter().zip(&counts) {
        if profile.is_blank || profile.is_empty_slot {
            continue;
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
