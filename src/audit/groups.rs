//! What ports say together: those of one optic, of one card, of one shelf.

use std::sync::atomic::{AtomicU32, Ordering};

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::claims::hit;
use crate::check::inventory_rules::facts::{Cohort, Hit};
use crate::check::inventory_rules::{hotter_than_siblings, identical_readings, uplinks_together};
use crate::inventory::{Column, Inventory, Profile, Row, Status, flag};
use crate::tables::Tables;
use crate::units::Decibels;

/// Ports of which a median is worth something.
const FEW: usize = 8;
/// Readings of a card of which a median is worth something.
const FEW_ON_A_CARD: usize = 4;
/// Tenths of a degree over the median of the card.
const HOTTER: i32 = 150;
/// Lowest transmit level of the histograms, tenths of dBm.
const LOWEST: i32 = -600;
/// Bins of the histograms.
const BINS: usize = 1_024;

/// What is usual, by profile: medians over all ports with the same optic, and what fiber loses at least.
pub fn cohorts(inventory: &Inventory, tables: &Tables) -> Vec<Cohort> {
    let mut names: FxHashMap<&str, usize> = FxHashMap::default();
    let optic: Vec<Option<usize>> = inventory
        .profiles
        .iter()
        .map(|profile| {
            let name = &profile.optic.as_ref()?.name;
            let next = names.len();
            Some(*names.entry(name.as_str()).or_insert(next))
        })
        .collect();
    let counts = histograms(inventory, &optic, names.len());
    let of: Vec<Cohort> = counts
        .chunks(2)
        .map(|pair| Cohort {
            tx: median(&pair[0]).map(|bin| ((bin as i32 + LOWEST) * 10) as i16),
            bias: median(&pair[1]).map(|bin| (bin * 50) as u16),
            least_per_km: None,
        })
        .collect();
    let one = |(index, profile): (&Option<usize>, &Profile)| {
        let usual = index.map_or_else(Cohort::default, |index| of[index]);
        Cohort { least_per_km: least_per_km(profile, tables), ..usual }
    };
    optic.iter().zip(&inventory.profiles).map(one).collect()
}

/// The least that a kilometer of usual single-mode fiber loses at the wavelength of an optic.
fn least_per_km(profile: &Profile, tables: &Tables) -> Option<Decibels> {
    if profile.is_multimode || profile.is_pon {
        return None;
    }
    let sent = profile.optic.as_ref().and_then(|optic| optic.transmit.first()).map(|band| band.nominal);
    let (figures, _) = tables.attenuations.at("G.652.D", profile.tx_nm.or(sent)?)?;
    Some(figures.least)
}

/// Counts of transmit levels (tenths of dBm) and of bias (half milliamperes), by optic.
fn histograms(inventory: &Inventory, optic: &[Option<usize>], optics: usize) -> Vec<Vec<u32>> {
    let empty = || vec![vec![0u32; BINS]; optics * 2];
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    // Large lots, since each has a set of histograms of its own.
    let lot = pieces.len().div_ceil(16).max(1);
    let add = |mut counts: Vec<Vec<u32>>, pieces: &[(u32, &[Row])]| {
        for row in pieces.iter().flat_map(|(_, rows)| *rows) {
            let Some(index) = optic[row.profile as usize] else { continue };
            if row.tx != Row::NONE {
                let bin = (i32::from(row.tx) / 10 - LOWEST).clamp(0, BINS as i32 - 1);
                counts[index * 2][bin as usize] += 1;
            }
            if row.bias != 0 {
                counts[index * 2 + 1][(usize::from(row.bias) / 50).min(BINS - 1)] += 1;
            }
        }
        counts
    };
    let parts: Vec<Vec<Vec<u32>>> = pieces.par_chunks(lot).map(|lot| add(empty(), lot)).collect();
    parts.into_iter().fold(empty(), |mut sum, part| {
        for (mine, other) in sum.iter_mut().flatten().zip(part.into_iter().flatten()) {
            *mine += other;
        }
        sum
    })
}

fn median(bins: &[u32]) -> Option<usize> {
    let total: u64 = bins.iter().map(|count| u64::from(*count)).sum();
    if total < FEW as u64 {
        return None;
    }
    let mut seen = 0;
    bins.iter().position(|count| {
        seen += u64::from(*count);
        seen * 2 >= total
    })
}

/// Rows by card: where each card's rows begin, and the rows.
struct ByCard {
    starts: Vec<u32>,
    rows: Vec<u32>,
}

impl ByCard {
    fn of(inventory: &Inventory) -> Self {
        let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
        let counts: Vec<AtomicU32> = (0..=inventory.cards.len()).map(|_| AtomicU32::new(0)).collect();
        pieces.par_iter().for_each(|(_, rows)| {
            for run in rows.chunk_by(|a, b| a.card == b.card) {
                counts[run[0].card as usize + 1].fetch_add(run.len() as u32, Ordering::Relaxed);
            }
        });
        let mut starts: Vec<u32> = counts.into_iter().map(AtomicU32::into_inner).collect();
        for card in 1..starts.len() {
            starts[card] += starts[card - 1];
        }
        let next: Vec<AtomicU32> = starts.iter().map(|start| AtomicU32::new(*start)).collect();
        let rows: Vec<AtomicU32> = (0..inventory.rows.len()).map(|_| AtomicU32::new(0)).collect();
        // The order of the rows of a card depends on the threads; nothing that is said does.
        pieces.par_iter().for_each(|(first, piece)| {
            let mut index = *first;
            for run in piece.chunk_by(|a, b| a.card == b.card) {
                let place = next[run[0].card as usize].fetch_add(run.len() as u32, Ordering::Relaxed);
                for n in 0..run.len() as u32 {
                    rows[(place + n) as usize].store(index, Ordering::Relaxed);
                    index += 1;
                }
            }
        });
        Self { starts, rows: rows.into_iter().map(AtomicU32::into_inner).collect() }
    }

    fn card(&self, card: usize) -> &[u32] {
        &self.rows[self.starts[card] as usize..self.starts[card + 1] as usize]
    }
}

/// What the ports of one card say together.
pub fn cards(inventory: &Inventory) -> Vec<Hit> {
    let has = |column| inventory.columns.has(column);
    if !has(Column::Temperature) && !has(Column::Tx) {
        return Vec::new();
    }
    let by_card = ByCard::of(inventory);
    let parts: Vec<Vec<Hit>> = (0..inventory.cards.len())
        .into_par_iter()
        .with_min_len(1_024)
        .fold(Vec::new, |mut hits, card| {
            let rows = by_card.card(card);
            if rows.len() >= FEW_ON_A_CARD {
                temperatures(inventory, rows, &mut hits);
                readings(inventory, rows, &mut hits);
            }
            hits
        })
        .collect();
    parts.into_iter().flatten().collect()
}

fn temperatures(inventory: &Inventory, rows: &[u32], hits: &mut Vec<Hit>) {
    let of = |index: &u32| inventory.rows.get(*index).temperature;
    let mut sorted: Vec<i16> = rows.iter().map(of).filter(|t| *t != Row::NONE).collect();
    if sorted.len() < FEW_ON_A_CARD {
        return;
    }
    let middle = sorted.len() / 2;
    let median = i32::from(*sorted.select_nth_unstable(middle).1);
    for index in rows {
        let temperature = i32::from(of(index));
        if temperature != i32::from(Row::NONE) && temperature > median + HOTTER {
            hits.push(hit(&hotter_than_siblings::ENTRY, *index, Row::NO_ID, (temperature, median)));
        }
    }
}

/// Eight ports or more that read the same are a stuck collector; said once for the card.
fn readings(inventory: &Inventory, rows: &[u32], hits: &mut Vec<Hit>) {
    let of = |index: &u32| {
        let row = inventory.rows.get(*index);
        (row.tx != Row::NONE && row.rx != Row::NONE).then_some((row.tx, row.rx))
    };
    if rows.len() < FEW {
        return;
    }
    let mut pairs: Vec<((i16, i16), u64, u32)> = rows
        .iter()
        .filter_map(|index| Some((of(index)?, inventory.rows.get(*index).near, *index)))
        .collect();
    pairs.sort_unstable();
    for same in pairs.chunk_by(|a, b| a.0 == b.0).filter(|same| same.len() >= FEW) {
        hits.push(hit(&identical_readings::ENTRY, same[0].2, Row::NO_ID, (same.len() as i32, 0)));
    }
}

/// Uplinks of one shelf that share what should be doubled.
pub fn uplinks(inventory: &Inventory) -> Vec<Hit> {
    let is_uplink: Vec<bool> = inventory
        .profiles
        .iter()
        .map(|p| p.is_uplink && p.status != Status::Planned && p.status != Status::Retired)
        .collect();
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    let of_piece = |(first, rows): &(u32, &[Row])| {
        let counts =
            |row: &Row| is_uplink[row.profile as usize] && !row.has(flag::SHIFTED | flag::NO_SITE);
        let found = rows.iter().enumerate().filter(|(_, row)| counts(row));
        found.map(|(n, _)| first + n as u32).collect::<Vec<u32>>()
    };
    let uplinks: Vec<Vec<u32>> = pieces.par_iter().map(of_piece).collect();
    let mut shelves: FxHashMap<(u32, u32), Vec<u32>> = FxHashMap::default();
    for index in uplinks.into_iter().flatten() {
        if let Some(card) = inventory.cards.get(inventory.rows.get(index).card as usize) {
            shelves.entry((card.site, card.shelf)).or_default().push(index);
        }
    }
    let mut hits = Vec::new();
    for rows in shelves.into_values() {
        let distinct: Vec<&Row> = rows.iter().map(|index| inventory.rows.get(*index)).collect();
        let ports = distinct.iter().filter(|row| row.near != distinct[0].near).count();
        if ports == 0 {
            continue;
        }
        // The least name stands for all, whatever the order of the rows.
        let Some(first) = rows.iter().copied().min_by_key(|index| inventory.rows.get(*index).near)
        else {
            continue;
        };
        let count = rows.len() as i32;
        if distinct.iter().all(|row| row.card == distinct[0].card) {
            hits.push(hit(&uplinks_together::ENTRY, first, Row::NO_ID, (count, 0)));
        } else if one_feed(inventory, &distinct) {
            hits.push(hit(&uplinks_together::ENTRY, first, Row::NO_ID, (count, 1)));
        }
    }
    hits
}

/// Whether all rows hang on the same single feed.
fn one_feed(inventory: &Inventory, rows: &[&Row]) -> bool {
    let feed = |row: &Row| inventory.profile(row).word(Column::Feed).to_uppercase();
    let first = feed(rows[0]);
    let both = first.contains('A') && first.contains('B');
    !first.is_empty() && !both && rows.iter().all(|row| feed(row) == first)
}
