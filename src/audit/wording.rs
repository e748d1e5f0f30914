//! A hit becomes a finding: with its id, its place and its words.

use super::Texts;
use super::shared::{Shared, outcome, rule_of};
use crate::check::fit_rules::Outcome;
use crate::check::inventory_rules::facts::{Hit, Planned, Said};
use crate::check::inventory_rules::{ENTRIES, far_end_unknown, index_of};
use crate::check::{Rule, Severity};
use crate::inventory::{COLUMNS, Column, Inventory, Row, WrittenRow, name};
use crate::tables::Tables;

/// A finding about an inventory.
#[derive(Debug, Clone)]
pub struct Worded {
    /// Stable from run to run: made of the rule and the names of the ports, not of the place in the
    /// file.
    pub id: String,
    /// The rule.
    pub rule: &'static Rule,
    /// The severity after the policy.
    pub severity: Severity,
    /// The site as written.
    pub site: String,
    /// The port as people say it; empty for the inventory as a whole.
    pub subject: String,
    /// The other port; empty where there is none.
    pub other: String,
    /// File.
    pub file: String,
    /// Line; 0 for the inventory as a whole.
    pub line: u64,
    /// What is wrong.
    pub message: String,
    /// What to do here; the rule's remedy where the rule has nothing better.
    pub hint: String,
    /// Accepted until when and by whom, where that has passed.
    pub once_accepted: String,
}

/// What findings are worded with.
#[derive(Debug, Clone, Copy)]
pub struct Known<'a> {
    /// The rows.
    pub inventory: &'a Inventory,
    /// Reference tables.
    pub tables: &'a Tables,
    /// Ids of the plan's ports.
    pub plan_ports: &'a [Planned],
}

/// Words a hit.
///
/// # Errors
/// A row cannot be read again.
pub fn word<T: Texts>(
    hit: &Hit,
    severity: Severity,
    known: Known<'_>,
    texts: &mut T,
) -> Result<Worded, T::Trouble> {
    let near =
        if hit.row == Row::NO_ID { WrittenRow::default() } else { texts.written(hit.row, true)? };
    let far = if hit.other == Row::NO_ID { None } else { Some(texts.written(hit.other, true)?) };
    let rule = rule_of(hit.rule);
    let (message, hint) = said(hit, &near, far.as_ref(), known);
    let suggested = hit.rule == index_of(&far_end_unknown::ENTRY);
    let named = far.as_ref().filter(|_| !suggested);
    Ok(Worded {
        id: id(rule, &near, named, if hit.row == Row::NO_ID { &message } else { "" }),
        rule,
        severity,
        site: near.cell(Column::Site).to_string(),
        subject: near.name(),
        other: far.as_ref().map(WrittenRow::name).unwrap_or_default(),
        file: near.file.clone(),
        line: near.line,
        message,
        hint: if hint.is_empty() { rule.remedy.to_string() } else { hint },
        once_accepted: String::new(),
    })
}

fn said(hit: &Hit, near: &WrittenRow, far: Option<&WrittenRow>, known: Known<'_>) -> (String, String) {
    let Known { inventory, tables, plan_ports } = known;
    if let Some(entry) = ENTRIES.get(usize::from(hit.rule)) {
        let said =
            Said { detail: hit.detail, near, far: far.unwrap_or(near), inventory, tables, plan_ports };
        return (entry.say)(&said);
    }
    let profile = |row: u32| inventory.profile(inventory.rows.get(row));
    let Some(shared) = Shared::of(hit.rule) else { return Default::default() };
    let other = if hit.other == Row::NO_ID { hit.row } else { hit.other };
    match outcome(shared, profile(hit.row), profile(other), tables) {
        Outcome::Hit { message, hint } => match far {
            Some(far) => (format!("towards `{}`: {message}", far.name()), hint),
            None => (message, hint),
        },
        _ => Default::default(),
    }
}

/// The id of a finding: a hash of the rule and of the normal names, 16 hexadecimal digits.
fn id(rule: &Rule, near: &WrittenRow, far: Option<&WrittenRow>, whole: &str) -> String {
    let mut text = format!("{}\u{1f}{}\u{1f}{whole}", rule.id, normal(near));
    if let Some(far) = far {
        text.push('\u{1f}');
        text.push_str(&normal(far));
    }
    format!("{:016x}", fnv(text.as_bytes()))
}

/// The normal name of a row; where it has none, all that it says.
fn normal(row: &WrittenRow) -> String {
    let (site, port) = (row.cell(Column::Site), row.cell(Column::Port));
    if site.is_empty() || port.is_empty() {
        let cells = COLUMNS.iter().map(|column| row.cell(*column));
        return cells.collect::<Vec<_>>().join("\u{1e}");
    }
    let mut own = Vec::new();
    let (shelf, slot) = (row.cell(Column::Shelf), row.cell(Column::Slot));
    name::push_own_port(shelf.as_bytes(), slot.as_bytes(), port.as_bytes(), &mut own);
    format!("{}\u{1e}{}", name::site(site), String::from_utf8_lossy(&own))
}

/// FNV-1a with 64 bits: plain, published, the same everywhere.
fn fnv(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values of the published test suite of FNV-1a (from memory).
    #[test]
    fn the_hash_is_the_published_one() {
        assert_eq!(fnv(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv(b"a"), 0xaf63_dc4c_8601_ec8c);
    }
}
