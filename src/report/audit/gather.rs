//! From hits to a summary and lists: every finding is worded once, on all cores, and handed on in
//! order.

use std::io;

use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use super::fixes::{Fix, greatest};
use super::tally::Tally;
use super::{EditRow, List, Listed, NotUsed, Since, Summary, TurnRow};
use crate::audit::Edit;
use crate::audit::run::Audit;
use crate::audit::shared::rule_of;
use crate::audit::wording::{Known, Worded, word};
use crate::check::inventory_rules::facts::Hit;
use crate::check::policy::{Accepted, Policy};
use crate::engine::rests::Rests;
use crate::inventory::{Inventory, Row, date};
use crate::read::inventory::Trouble;
use crate::read::inventory::again::{Again, Places};
use crate::read::inventory::load::Inputs;
use crate::read::inventory::since::Earlier;
use crate::tables::Tables;

/// Hits that are worded at a time.
const LOT: usize = 16_384;
/// Hits that one thread words at a time.
const PART: usize = 1_024;
/// Fixes that are named.
pub const FIXES: usize = 20;
/// Changes of far ends that are named; all are counted.
const EDITS: usize = 100_000;

/// Everything that a summary is made from.
pub struct Source<'a> {
    /// The inputs.
    pub inputs: &'a Inputs,
    /// Where rows stand.
    pub places: &'a Places,
    /// The rows.
    pub inventory: &'a Inventory,
    /// What was found.
    pub audit: &'a Audit,
    /// Reference tables.
    pub tables: &'a Tables,
    /// Severities and accepted findings.
    pub policy: &'a Policy,
    /// The findings of the last run.
    pub since: Option<&'a [Earlier]>,
    /// The day of judgement.
    pub today: Option<i64>,
}

impl Source<'_> {
    fn known(&self) -> Known<'_> {
        Known { inventory: self.inventory, tables: self.tables, plan_ports: &self.audit.plan_ports }
    }
}

/// Why a summary could not be made.
#[derive(Debug)]
pub enum Failed {
    /// A row cannot be read again.
    Reading(Trouble),
    /// A list cannot be written.
    Writing(io::Error),
}

impl From<Trouble> for Failed {
    fn from(trouble: Trouble) -> Self {
        Self::Reading(trouble)
    }
}

impl From<io::Error> for Failed {
    fn from(error: io::Error) -> Self {
        Self::Writing(error)
    }
}

/// Words every finding, hands it to the lists, and sums up.
///
/// # Errors
/// A row cannot be read again, or a list cannot be written.
pub fn gather(source: &Source<'_>, lists: &mut [Box<dyn List + '_>]) -> Result<Summary, Failed> {
    let names = source.inventory.sites.iter().map(|site| site.name.to_string()).collect();
    let mut tally = Tally::new(names);
    let accepted: FxHashMap<&str, &Accepted> =
        source.policy.accepted.iter().map(|a| (a.id.as_str(), a)).collect();
    let since = source.since.map(SinceCount::of);
    let needs_words = !lists.is_empty() || !accepted.is_empty() || since.is_some();
    let since = if needs_words {
        worded(source, lists, &mut tally, &accepted, since)?
    } else {
        for hit in &source.audit.hits {
            let rule = rule_of(hit.rule);
            tally.add(rule, source.policy.severity(rule), site_of(source.inventory, hit));
        }
        None
    };
    tally.unmet = (accepted.len() as u64).saturating_sub(tally.accepted + tally.expired);
    let mut again = Again::new(source.inputs, source.places, source.inventory);
    Ok(Summary {
        files: source.inputs.files.iter().map(|f| (f.name.clone(), f.dress.clone())).collect(),
        left_out: source.inputs.left_out.clone(),
        not_used: not_used(source.inputs),
        rows: source.inventory.rows.len() as u64,
        skipped: source.inventory.skipped,
        matched: source.audit.matched,
        tally,
        fixes: fixes(source, &mut again)?,
        edit_count: source.audit.edits.len() as u64,
        // A list takes them all, the terminal only the first ones.
        edits: edits(source, if lists.is_empty() { super::table::EDITS } else { EDITS })?,
        turns: turns(source, &mut again)?,
        not_checked: source.audit.not_checked.clone(),
        since,
        date: source.today.map(date::written).unwrap_or_default(),
        trust: Rests::of_inventory(source.tables, source.inventory).trust(),
    })
}

/// The heads that another one of their file stands in for.
fn not_used(inputs: &Inputs) -> Vec<NotUsed> {
    let mut all = Vec::new();
    for (file, layout) in inputs.files.iter().zip(&inputs.layouts) {
        for (at, head) in layout.heads.iter().enumerate() {
            let Some(column) = head.doubled else { continue };
            let used = layout.heads.iter().find(|other| other.column == Some(column));
            all.push(NotUsed {
                file: file.name.clone(),
                head: head.head.clone(),
                cell: at + 1,
                column: column.name(),
                used: used.map(|used| used.head.clone()).unwrap_or_default(),
            });
        }
    }
    all
}

/// The site of a hit.
fn site_of(inventory: &Inventory, hit: &Hit) -> Option<u32> {
    if hit.row == Row::NO_ID {
        return None;
    }
    let card = inventory.cards.get(inventory.rows.get(hit.row).card)?;
    (card.site != Row::NO_ID).then_some(card.site)
}

/// What the last run had, and what of it was met again.
struct SinceCount<'a> {
    earlier: FxHashMap<&'a str, &'a Earlier>,
    met: FxHashSet<&'a str>,
    new: u64,
}

impl<'a> SinceCount<'a> {
    fn of(earlier: &'a [Earlier]) -> Self {
        let earlier = earlier.iter().map(|one| (one.id.as_str(), one)).collect();
        Self { earlier, met: FxHashSet::default(), new: 0 }
    }

    /// Whether a finding is new.
    fn meet(&mut self, id: &str) -> bool {
        match self.earlier.get_key_value(id) {
            Some((id, _)) => {
                self.met.insert(id);
                false
            }
            None => {
                self.new += 1;
                true
            }
        }
    }

    fn finish(self) -> Since {
        let mut gone: Vec<[String; 4]> = self
            .earlier
            .values()
            .filter(|one| !self.met.contains(one.id.as_str()))
            .map(|one| [one.id.clone(), one.rule.clone(), one.subject.clone(), one.message.clone()])
            .collect();
        gone.sort_unstable();
        Since { new: self.new, unchanged: self.met.len() as u64, gone }
    }
}

fn worded(
    source: &Source<'_>,
    lists: &mut [Box<dyn List + '_>],
    tally: &mut Tally,
    accepted: &FxHashMap<&str, &Accepted>,
    mut since: Option<SinceCount<'_>>,
) -> Result<Option<Since>, Failed> {
    let mut seen: FxHashMap<String, u32> = FxHashMap::default();
    for lot in source.audit.hits.chunks(LOT) {
        let parts: Result<Vec<Vec<Worded>>, Trouble> =
            lot.par_chunks(PART).map(|part| words_of(source, part)).collect();
        for (hit, mut finding) in lot.iter().zip(parts?.into_iter().flatten()) {
            let count = seen.entry(finding.id.clone()).or_default();
            *count += 1;
            if *count > 1 {
                // Two findings of one rule at one port: told apart in the order of the rows.
                finding.id = format!("{}-{count}", finding.id);
            }
            let mut listed = Listed { finding, accepted: String::new(), new: None };
            listed.new = since.as_mut().map(|since| since.meet(&listed.finding.id));
            if let Some(known) = accepted.get(listed.finding.id.as_str()) {
                accept(&mut listed, known, source.today, tally);
            }
            if listed.accepted.is_empty() {
                let rule = listed.finding.rule;
                tally.add(rule, listed.finding.severity, site_of(source.inventory, hit));
            }
            for list in lists.iter_mut() {
                list.add(&listed)?;
            }
        }
    }
    Ok(since.map(SinceCount::finish))
}

fn words_of(source: &Source<'_>, hits: &[Hit]) -> Result<Vec<Worded>, Trouble> {
    let mut again = Again::new(source.inputs, source.places, source.inventory);
    hits.iter()
        .map(|hit| {
            let severity = source.policy.severity(rule_of(hit.rule));
            word(hit, severity, source.known(), &mut again)
        })
        .collect()
}

/// An accepted finding counts for nothing until its day has passed; then it comes back.
fn accept(listed: &mut Listed, known: &Accepted, today: Option<i64>, tally: &mut Tally) {
    let words = format!("until {} by {}: {}", date::written(known.until), known.owner, known.reason);
    if today.is_some_and(|today| today <= known.until) {
        listed.accepted = words;
        tally.accepted += 1;
    } else {
        listed.finding.once_accepted = words;
        tally.expired += 1;
    }
}

fn fixes(source: &Source<'_>, again: &mut Again<'_>) -> Result<Vec<Fix>, Trouble> {
    let mut fixes = Vec::new();
    for (weight, hits) in greatest(&source.audit.hits, source.inventory, source.policy, FIXES) {
        let mut findings = Vec::new();
        for hit in hits {
            let severity = source.policy.severity(rule_of(hit.rule));
            findings.push(word(hit, severity, source.known(), again)?);
        }
        // A wrong optic comes before its budget, which another optic changes.
        let is_budget = |one: &Worded| one.rule.id.starts_with("budget.");
        findings.sort_by(|a, b| {
            let by_rule = is_budget(a).cmp(&is_budget(b)).then(a.rule.id.cmp(b.rule.id));
            b.severity.cmp(&a.severity).then(by_rule)
        });
        fixes.push(Fix { weight, findings });
    }
    Ok(fixes)
}

/// The first changes of far ends as they are said.
fn edits(source: &Source<'_>, most: usize) -> Result<Vec<EditRow>, Trouble> {
    let edits = &source.audit.edits[..source.audit.edits.len().min(most)];
    let some = |edits: &[Edit]| {
        let mut again = Again::new(source.inputs, source.places, source.inventory);
        edits.iter().map(|edit| edit_row(*edit, &mut again)).collect::<Result<Vec<EditRow>, Trouble>>()
    };
    let parts: Result<Vec<Vec<EditRow>>, Trouble> = edits.par_chunks(PART).map(some).collect();
    Ok(parts?.into_iter().flatten().collect())
}

fn edit_row(edit: Edit, again: &mut Again<'_>) -> Result<EditRow, Trouble> {
    let near = again.row(edit.row)?;
    let to = if edit.far == Row::NO_ID { String::new() } else { again.unnumbered(edit.far)?.name() };
    Ok(EditRow { subject: near.name(), from: near.far_name(), to, line: near.line, file: near.file })
}

fn turns(source: &Source<'_>, again: &mut Again<'_>) -> Result<Vec<TurnRow>, Trouble> {
    let mut rows = Vec::new();
    for (column, turn, example) in source.inventory.turns.all() {
        let (file, line) = again.place(example.file, example.offset)?;
        rows.push(TurnRow {
            column: column.name(),
            how: turn.words(),
            cells: example.count,
            example: example.raw.clone(),
            file,
            line,
        });
    }
    Ok(rows)
}
