//! One look at every row and every pair, on all cores.

use rayon::prelude::*;

use super::claims::{self, Matched, hit};
use super::run::has_all;
use super::same::{self, Identifier};
use super::shared::{self, Memory, Shared};
use crate::check::inventory_rules::facts::{At, Entry, Hit, Judge, Sight};
use crate::check::inventory_rules::{ENTRIES, ragged_row, row_shifted};
use crate::check::policy::Policy;
use crate::inventory::{Profile, Row, flag};

/// Rows whose far ends are fetched together.
const BATCH: usize = 32;

/// What the look at every row and every pair gave.
#[derive(Default)]
pub(super) struct Looked {
    /// Hits, in no order.
    pub(super) hits: Vec<Hit>,
    /// By row, in which identifiers the far end stands for it, too; see [`same::bit`].
    pub(super) represented: Vec<u8>,
    /// How the far ends stand.
    pub(super) matched: Matched,
    /// Rows whose claim the row that they name does not agree with.
    pub(super) open: Vec<u32>,
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

/// Looks at every row and every pair; `target` is the row that each row's far end names.
pub(super) fn look(sight: Sight<'_>, target: &[u32], policy: &Policy) -> Looked {
    let plan = Plan::of(sight, policy);
    let pieces: Vec<(u32, &[Row])> = sight.inventory.rows.pieces().collect();
    let one = |memory: &mut Memory, (first, rows): &(u32, &[Row])| {
        let mut part = Looked::default();
        part.represented.reserve_exact(rows.len());
        for (n, batch) in rows.chunks(BATCH).enumerate() {
            look_at_batch(sight, &plan, memory, (first + (n * BATCH) as u32, batch), target, &mut part);
        }
        part
    };
    // A few large lots: each judges the pairs of words that it meets anew.
    let least = pieces.len().div_ceil(4 * rayon::current_num_threads());
    let lots = pieces.par_iter().with_min_len(least);
    let parts: Vec<Looked> = lots.map_init(Memory::default, one).collect();
    let mut all = Looked::default();
    all.represented.reserve_exact(sight.inventory.rows.len());
    for part in parts {
        all.hits.extend(part.hits);
        all.represented.extend(part.represented);
        all.matched = all.matched.and(part.matched);
        all.open.extend(part.open);
    }
    all
}

fn look_at_batch(
    sight: Sight<'_>,
    plan: &Plan,
    memory: &mut Memory,
    (first, batch): (u32, &[Row]),
    target: &[u32],
    part: &mut Looked,
) {
    let named = &target[first as usize..first as usize + batch.len()];
    let others = fetch(sight, named);
    for (n, (row, other)) in batch.iter().zip(others).enumerate() {
        let index = first + n as u32;
        judge_row(sight, plan, index, row, &mut part.hits);
        let other = other.map(|other| (named[n], other));
        let mutual = claims::judge(sight.inventory, (index, row), other, part);
        let represented = match other.filter(|_| mutual) {
            Some(other) => judge_pair(sight, plan, memory, (index, row), other, &mut part.hits),
            None => 0,
        };
        part.represented.push(represented);
    }
}

/// The far rows of a batch. Far ends stand anywhere in the memory: asked for together, they arrive
/// together, and not one after the other when each is judged.
fn fetch<'a>(sight: Sight<'a>, named: &[u32]) -> [Option<&'a Row>; BATCH] {
    let mut others = [None; BATCH];
    let mut touched = 0;
    for (other, named) in others.iter_mut().zip(named) {
        if *named != Row::NO_ID {
            let row = sight.inventory.rows.get(*named);
            touched ^= row.near as u16 ^ row.onus;
            *other = Some(row);
        }
    }
    std::hint::black_box(touched);
    others
}

fn judge_row(sight: Sight<'_>, plan: &Plan, index: u32, row: &Row, hits: &mut Vec<Hit>) {
    if row.has(flag::SHIFTED) {
        // Of a row with cells too many that is said, and nothing else.
        let entry = if row.has(flag::RAGGED) { &ragged_row::ENTRY } else { &row_shifted::ENTRY };
        hits.push(hit(entry, index, Row::NO_ID, (0, 0)));
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
    (named, other): (u32, &Row),
    hits: &mut Vec<Hit>,
) -> u8 {
    if other.has(flag::SHIFTED) {
        return 0;
    }
    let profiles = &sight.inventory.profiles;
    let (near, far) = (At::new(sight, row), At::new(sight, other));
    let first = row.near < other.near;
    let known = memory.known((row.profile, other.profile), profiles, sight.tables);
    for (rule, entry) in &plan.entries {
        let found = match entry.judge {
            Judge::Receiver(check) => check(&near, &far),
            Judge::Light(check) => check(&near, &far, &known.allowed),
            Judge::Pair(check) if first => check(&near, &far),
            _ => None,
        };
        if let Some(detail) = found {
            hits.push(Hit { row: index, rule: *rule, other: named, detail });
        }
    }
    if first {
        let found = known.hits(near.profile, far.profile, sight.tables);
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
