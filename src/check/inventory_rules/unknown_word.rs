//! `inventory.unknown-word`: a word of state, status or role is not understood.

use std::collections::BTreeMap;

use super::facts::{Detail, Entry, Judge, Said, shortened};
use crate::check::{Concern, Rule, Severity};
use crate::inventory::{COLUMNS, Column, Inventory, Profile, name};

/// The rule.
pub static RULE: Rule = Rule {
    id: "inventory.unknown-word",
    severity: Severity::Note,
    concern: Concern::Datum,
    what: "a word of state, status or role is not understood",
    why: "rows with it are taken as if nothing was written, and what depends on it is not checked",
    remedy: "write a usual word",
    source: "common practice",
};

/// How it looks at an inventory.
pub static ENTRY: Entry = Entry { rule: &RULE, needs: &[], judge: Judge::Whole, say };

/// Columns whose words decide what is checked.
const LOOKED_AT: [Column; 4] = [Column::Admin, Column::Oper, Column::Status, Column::PortRole];
/// Words that are said: a column that was taken for another has more than anybody reads.
const MOST: usize = 20;
/// Columns and profiles share a number.
const COLUMN_STEP: u32 = 256;

/// The words that are not understood: one of the profiles with each, with its column, and how many rows
/// say so. Those of most rows come first, at most twenty.
pub fn hits(inventory: &Inventory) -> Vec<Detail> {
    let unknown = |profile: &Profile| LOOKED_AT.iter().any(|column| !profile.is_understood(*column));
    if !inventory.profiles.iter().any(unknown) {
        return Vec::new();
    }
    let mut rows = vec![0_u64; inventory.profiles.len()];
    for (_, row) in inventory.rows.iter() {
        rows[row.profile as usize] += 1;
    }
    let mut words: BTreeMap<(Column, String), (u64, u32)> = BTreeMap::new();
    for (index, (profile, rows)) in (0_u32..).zip(inventory.profiles.iter().zip(rows)) {
        for column in LOOKED_AT.into_iter().filter(|column| !profile.is_understood(*column)) {
            words.entry((column, name::site(profile.word(column)))).or_insert((0, index)).0 += rows;
        }
    }
    let mut found: Vec<_> = words.into_iter().collect();
    found.sort_by_key(|(_, (rows, _))| std::cmp::Reverse(*rows));
    found.truncate(MOST);
    found
        .into_iter()
        .filter_map(|((column, _), (rows, profile))| detail(column, profile, rows))
        .collect()
}

fn detail(column: Column, profile: u32, rows: u64) -> Option<Detail> {
    let place = profile.checked_mul(COLUMN_STEP)?.checked_add(column as u32)?;
    Some((i32::try_from(place).ok()?, i32::try_from(rows).unwrap_or(i32::MAX)))
}

/// The words that are mostly meant.
fn usual(column: Column) -> &'static str {
    match column {
        Column::Status => "in service, planned, spare, retired",
        Column::PortRole => "client, uplink, olt_pon, spare",
        _ => "up, down, empty",
    }
}

fn say(said: &Said<'_>) -> (String, String) {
    let place = said.detail.0.unsigned_abs();
    let column = COLUMNS.get((place % COLUMN_STEP) as usize).copied().unwrap_or(Column::Oper);
    let profile = said.inventory.profiles.get((place / COLUMN_STEP) as usize);
    let word = profile.map_or("", |profile| profile.word(column));
    let rows = said.detail.1;
    let count = if rows == 1 { "1 row has it".to_string() } else { format!("{rows} rows have it") };
    (
        format!("{} `{}` is not understood", column.name(), shortened(word)),
        // The count stays out of the message: a finding is the same when a row is added.
        format!("{count}; usual are {}", usual(column)),
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inventory::{ColumnKind, Row};
    use crate::read::tables::built_in;

    #[test]
    fn each_word_is_counted_once_however_it_is_written() {
        let tables = built_in();
        let words = |oper: &'static str| {
            let columns = COLUMNS.iter().filter(|column| column.kind() == ColumnKind::Word);
            let cells = columns.map(|column| if *column == Column::Oper { oper } else { "" });
            Profile::read(&cells.collect::<Vec<_>>(), &tables)
        };
        let mut inventory = Inventory {
            profiles: ["up", "frob", "Frob", "knick"].map(words).into(),
            ..Inventory::default()
        };
        let rows: Vec<Row> = [0, 3, 1, 2, 1].map(|profile| Row { profile, ..Row::EMPTY }).into();
        inventory.rows.extend(&rows);
        let column = Column::Oper as i32;
        let step = COLUMN_STEP as i32;
        assert_eq!(hits(&inventory), [(step + column, 3), (3 * step + column, 1)]);
    }
}
