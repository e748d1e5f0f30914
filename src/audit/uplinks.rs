//! What the uplinks of one shelf say together.

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::claims::hit;
use crate::check::inventory_rules::facts::Hit;
use crate::check::inventory_rules::uplinks_together;
use crate::inventory::{Column, Inventory, Row, Status, flag};

/// Site and shelf.
type Shelf = (u32, u32);

/// Uplinks of one shelf that share what should be doubled.
pub fn uplinks(inventory: &Inventory) -> Vec<Hit> {
    let mut shelves: FxHashMap<Shelf, Vec<u32>> = FxHashMap::default();
    for (shelf, rows) in by_run(inventory).into_iter().flatten() {
        shelves.entry(shelf).or_default().extend(rows);
    }
    let shelves: Vec<Vec<u32>> = shelves.into_values().collect();
    shelves.par_iter().filter_map(|rows| together(inventory, rows)).collect()
}

/// The uplinks of each shelf, as far as they follow each other; by piece of the inventory.
fn by_run(inventory: &Inventory) -> Vec<Vec<(Shelf, Vec<u32>)>> {
    let is_uplink: Vec<bool> = inventory
        .profiles
        .iter()
        .map(|p| p.is_uplink && p.status != Status::Planned && p.status != Status::Retired)
        .collect();
    let of_piece = |(first, rows): &(u32, &[Row])| {
        let mut runs: Vec<(Shelf, Vec<u32>)> = Vec::new();
        for (index, row) in (*first..).zip(*rows) {
            if !is_uplink[row.profile as usize] || row.has(flag::MISPLACED | flag::NO_SITE) {
                continue;
            }
            let Some(card) = inventory.cards.get(row.card) else { continue };
            let shelf = (card.site, card.shelf);
            match runs.last_mut() {
                Some((last, rows)) if *last == shelf => rows.push(index),
                _ => runs.push((shelf, vec![index])),
            }
        }
        runs
    };
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    pieces.par_iter().map(of_piece).collect()
}

fn together(inventory: &Inventory, indices: &[u32]) -> Option<Hit> {
    let rows: Vec<&Row> = indices.iter().map(|index| inventory.rows.get(*index)).collect();
    if rows.iter().all(|row| row.near == rows[0].near) {
        return None;
    }
    let one_card = rows.iter().all(|row| row.card == rows[0].card);
    if !one_card && !one_feed(inventory, &rows) {
        return None;
    }
    // The least name stands for all, whatever the order of the rows.
    let first = indices.iter().copied().min_by_key(|index| inventory.rows.get(*index).near)?;
    let detail = (indices.len() as i32, i32::from(!one_card));
    Some(hit(&uplinks_together::ENTRY, first, Row::NO_ID, detail))
}

/// Whether all rows hang on the same single feed.
fn one_feed(inventory: &Inventory, rows: &[&Row]) -> bool {
    let feed = |row: &Row| inventory.profile(row).word(Column::Feed).to_uppercase();
    let first = feed(rows[0]);
    let both = first.contains('A') && first.contains('B');
    !first.is_empty() && !both && rows.iter().all(|row| feed(row) == first)
}
