//! Damaged names that the far end tells: a port that became a date is restored only where the row at
//! the other end names one of the ports that the date may have been.

use rustc_hash::{FxHashMap, FxHashSet};

use super::join::Joined;
use crate::inventory::{Inventory, Row, flag};

/// A name that was restored.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Restored {
    /// The row.
    pub row: u32,
    /// Whether its far port was restored, not its own.
    pub far: bool,
    /// The name, in normal form.
    pub name: String,
}

/// Restores what can be restored, and completes the join.
pub fn restore(inventory: &mut Inventory, joined: &mut Joined) -> Vec<Restored> {
    if inventory.damaged.is_empty() {
        return Vec::new();
    }
    let mut restored = Vec::new();
    let damaged = std::mem::take(&mut inventory.damaged);
    for candidates in damaged.iter().filter(|candidates| !candidates.far) {
        let Some(peer) = at(&joined.target, candidates.row) else { continue };
        if at(&joined.target, peer).is_some() {
            continue;
        }
        let named = inventory.rows.get(peer).far;
        let Some(which) = candidates.keys.iter().position(|key| *key == named) else { continue };
        let row = inventory.rows.get_mut(candidates.row);
        row.near = named;
        row.flags |= flag::RESTORED;
        joined.target[peer as usize] = candidates.row;
        let name = candidates.names[which].clone();
        restored.push(Restored { row: candidates.row, far: false, name });
    }
    let askers = askers(&damaged, joined);
    for candidates in damaged.iter().filter(|candidates| candidates.far) {
        let Some(peer) = askers.get(&candidates.row) else { continue };
        let near = inventory.rows.get(*peer).near;
        let Some(which) = candidates.keys.iter().position(|key| *key == near) else { continue };
        let row = inventory.rows.get_mut(candidates.row);
        row.far = near;
        row.flags |= flag::RESTORED;
        joined.target[candidates.row as usize] = *peer;
        let name = candidates.names[which].clone();
        restored.push(Restored { row: candidates.row, far: true, name });
    }
    inventory.damaged = damaged;
    restored
}

fn at(target: &[u32], row: u32) -> Option<u32> {
    target.get(row as usize).copied().filter(|found| *found != Row::NO_ID)
}

/// For rows with a damaged far port: the one row that names them; several say nothing.
fn askers(damaged: &[crate::inventory::Candidates], joined: &Joined) -> FxHashMap<u32, u32> {
    let wanted: FxHashSet<u32> =
        damaged.iter().filter(|c| c.far).map(|candidates| candidates.row).collect();
    let mut found: FxHashMap<u32, Option<u32>> = FxHashMap::default();
    if wanted.is_empty() {
        return FxHashMap::default();
    }
    for (asker, named) in joined.target.iter().enumerate() {
        if wanted.contains(named) {
            let one = found.entry(*named).or_insert(Some(asker as u32));
            if *one != Some(asker as u32) {
                *one = None;
            }
        }
    }
    found.into_iter().filter_map(|(row, asker)| Some((row, asker?))).collect()
}
