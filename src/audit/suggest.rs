//! Names that a far end may have meant: an `O` for a `0`, two numbers exchanged, one too many.

use rayon::prelude::*;
use rustc_hash::{FxHashMap, FxHashSet};

use crate::inventory::{Inventory, Row, name};

/// Far ends for which names are suggested; the rest get none.
pub const MOST: usize = 20_000;

/// Keys of names that are one slip away from a far end, the likeliest first.
pub fn slips(site: &str, port: &str) -> Vec<u64> {
    let site = name::hash(name::site(site).as_bytes());
    let normal = name::port(port);
    let mut names: Vec<String> = Vec::new();
    let letters = [('O', '0'), ('0', 'O'), ('I', '1'), ('1', 'I'), ('L', '1')];
    for (from, to) in letters {
        let raw = port.to_uppercase();
        names.extend(raw.contains(from).then(|| name::port(&raw.replace(from, &to.to_string()))));
    }
    let parts: Vec<&str> = normal.split('/').collect();
    for at in 0..parts.len() {
        let mut without = parts.clone();
        without.remove(at);
        for other in at + 1..parts.len() {
            let mut exchanged = parts.clone();
            exchanged.swap(at, other);
            names.push(exchanged.join("/"));
        }
        if let Ok(number) = parts[at].parse::<u32>() {
            for near in [number.checked_sub(1), number.checked_add(1)].into_iter().flatten() {
                let near = near.to_string();
                let mut changed = parts.clone();
                changed[at] = &near;
                names.push(changed.join("/"));
            }
        }
        if parts.len() > 1 {
            names.push(without.join("/"));
        }
    }
    names.retain(|candidate| *candidate != normal && !candidate.is_empty());
    let mut keys: Vec<u64> =
        names.iter().map(|candidate| name::port_key(site, name::hash(candidate.as_bytes()))).collect();
    let mut seen = FxHashSet::default();
    keys.retain(|key| seen.insert(*key));
    keys
}

/// The row that each asking row may have meant. A row that another one pairs with already is not
/// suggested.
pub fn suggest(inventory: &Inventory, target: &[u32], asked: &[(u32, Vec<u64>)]) -> FxHashMap<u32, u32> {
    let wanted: FxHashSet<u64> = asked.iter().flat_map(|(_, keys)| keys).copied().collect();
    if wanted.is_empty() {
        return FxHashMap::default();
    }
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    let free = |index: u32, row: &Row| {
        let named = target[index as usize];
        named == Row::NO_ID || !super::claims::agree(row, inventory.rows.get(named))
    };
    let of_piece = |(first, rows): &(u32, &[Row])| {
        let named = rows.iter().enumerate().filter(|(_, row)| wanted.contains(&row.near));
        let named = named.map(|(n, row)| (row.near, first + n as u32, row));
        named.filter(|(_, n, row)| free(*n, row)).map(|(key, n, _)| (key, n)).collect::<Vec<_>>()
    };
    let parts: Vec<Vec<(u64, u32)>> = pieces.par_iter().map(of_piece).collect();
    let mut found: FxHashMap<u64, u32> = FxHashMap::default();
    for (key, row) in parts.into_iter().flatten() {
        found.entry(key).or_insert(row);
    }
    let meant = |keys: &Vec<u64>| keys.iter().find_map(|key| found.get(key).copied());
    asked
        .iter()
        .filter_map(|(row, keys)| Some((*row, meant(keys).filter(|found| found != row)?)))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn common_slips_are_found() {
        let key = |site: &str, port: &str| {
            name::port_key(name::hash(site.as_bytes()), name::hash(port.as_bytes()))
        };
        assert!(slips("VTC", "1/O/2").contains(&key("VTC", "1/0/2")));
        assert!(slips("VTC", "1/2/1").contains(&key("VTC", "1/1/2")));
        assert!(slips("VTC", "1/1/3").contains(&key("VTC", "1/1/2")));
        assert!(slips("VTC", "0/1/1/3").contains(&key("VTC", "1/1/3")));
    }
}
