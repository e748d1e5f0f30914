//! What is usual among ports with the same optic.

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use crate::check::inventory_rules::facts::Cohort;
use crate::inventory::{Inventory, Profile, Row};
use crate::tables::Tables;
use crate::units::Decibels;

/// Ports of which a median is worth something.
const FEW: usize = 8;
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
