//! The smallest set of changes of far ends that would make all claims agree. Suggested, never applied.
//!
//! Every row claims at most one other, so claims form chains that end, or close to a ring. Wanted is a
//! set of pairs such that the far ends of as few rows as possible change: a row that keeps its claim
//! costs nothing, any other row with a claim costs one. Rows that agree already keep each other (no
//! other choice costs less). In what is left, a row that nobody claims is paired with the row it
//! claims: in a chain this greedy choice from the ends is a largest matching. Rings are cut at the
//! least name. Ties are decided by the hashes of names, so that the order of the rows does not matter.

use rustc_hash::{FxHashMap, FxHashSet};

use super::claims::agree;
use super::join::Joined;
use crate::inventory::{Inventory, Row};

/// One suggested change.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Edit {
    /// The row whose far end should change.
    pub row: u32,
    /// The row that it should name; [`Row::NO_ID`] = none: clear it.
    pub far: u32,
}

/// The changes, by row. `claiming` are the rows whose claim another row does not agree with.
pub fn edits(inventory: &Inventory, joined: &Joined, claiming: &[u32]) -> Vec<Edit> {
    let open = Open::of(inventory, joined, claiming);
    let mut pairs: FxHashMap<u32, u32> = FxHashMap::default();
    let mut edits = Vec::new();
    for (a, b) in open.matching(inventory) {
        // `a` claims `b`; `b` should claim `a`.
        edits.push(Edit { row: b, far: a });
        pairs.insert(a, b);
        pairs.insert(b, a);
    }
    for row in open.claims.keys().filter(|row| !pairs.contains_key(row)) {
        edits.push(Edit { row: *row, far: Row::NO_ID });
    }
    edits.sort_unstable();
    edits
}

/// Claims that are not agreed on, between rows of the inventory.
struct Open {
    /// Who claims whom.
    claims: FxHashMap<u32, u32>,
    /// Rows that agree with another one already.
    settled: FxHashSet<u32>,
}

impl Open {
    fn of(inventory: &Inventory, joined: &Joined, claiming: &[u32]) -> Self {
        let mut open = Self { claims: FxHashMap::default(), settled: FxHashSet::default() };
        let rows = &inventory.rows;
        for index in claiming {
            let named = joined.target[*index as usize];
            if named != *index && rows.get(*index).near != 0 {
                open.claims.insert(*index, named);
            }
        }
        for named in open.claims.values() {
            let target = joined.target[*named as usize];
            if target != Row::NO_ID && agree(rows.get(*named), rows.get(target)) {
                open.settled.insert(*named);
            }
        }
        open
    }

    /// Pairs of a claimer and whom it claims, as many as possible.
    fn matching(&self, inventory: &Inventory) -> Vec<(u32, u32)> {
        let mut claimed: FxHashMap<u32, u32> = FxHashMap::default();
        for named in self.claims.values() {
            *claimed.entry(*named).or_default() += 1;
        }
        let order = |row: u32| (inventory.rows.get(row).near, row);
        let mut ends: Vec<u32> =
            self.claims.keys().copied().filter(|row| !claimed.contains_key(row)).collect();
        ends.sort_unstable_by_key(|row| std::cmp::Reverse(order(*row)));
        let mut rest: Vec<u32> = self.claims.keys().copied().collect();
        rest.sort_unstable_by_key(|row| std::cmp::Reverse(order(*row)));
        let mut taken: FxHashSet<u32> = self.settled.clone();
        let mut pairs = Vec::new();
        loop {
            // From the free ends first; when none is left, a ring is cut.
            let Some(row) = ends.pop().or_else(|| rest.pop()) else { return pairs };
            if taken.contains(&row) {
                continue;
            }
            let Some(named) = self.claims.get(&row).copied() else { continue };
            taken.insert(row);
            if taken.insert(named) {
                pairs.push((row, named));
                self.release(named, &mut claimed, &mut ends);
            } else {
                self.release(row, &mut claimed, &mut ends);
            }
        }
    }

    /// A row is out of the game: whom it claims is claimed by one less.
    fn release(&self, row: u32, claimed: &mut FxHashMap<u32, u32>, ends: &mut Vec<u32>) {
        let Some(named) = self.claims.get(&row) else { return };
        if let Some(count) = claimed.get_mut(named) {
            *count = count.saturating_sub(1);
            if *count == 0 {
                ends.push(*named);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audit::claims;
    use crate::audit::join::join;
    use crate::audit::rows::Looked;
    use crate::inventory::{Column, flag};

    fn edits_of(names: &[(u64, u64)]) -> Vec<(u32, u32)> {
        let key = |n: u64| if n == 0 { 0 } else { crate::inventory::name::hash(&n.to_le_bytes()) };
        let rows: Vec<Row> = names
            .iter()
            .map(|(near, far)| {
                let flags = if *far == 0 { 0 } else { flag::FAR_WRITTEN };
                Row { near: key(*near), far: key(*far), flags, ..Row::EMPTY }
            })
            .collect();
        let mut inventory = Inventory::default();
        inventory.columns.insert(Column::FarSite);
        inventory.rows.extend(&rows);
        let joined = join(&inventory.rows);
        let mut looked = Looked::default();
        for (index, row) in inventory.rows.iter() {
            let named = Some(joined.target[index as usize]).filter(|named| *named != Row::NO_ID);
            let named = named.map(|named| (named, inventory.rows.get(named)));
            claims::judge(&inventory, (index, row), named, &mut looked);
        }
        edits(&inventory, &joined, &looked.open).iter().map(|edit| (edit.row, edit.far)).collect()
    }

    /// Each row is paired with a later one or stays alone.
    fn go(
        at: usize,
        with: &mut Vec<Option<usize>>,
        rows: usize,
        cost: &dyn Fn(&[Option<usize>]) -> usize,
        best: &mut usize,
    ) {
        if at == rows {
            *best = (*best).min(cost(with));
            return;
        }
        go(at + 1, with, rows, cost, best);
        if with[at].is_none() {
            for other in at + 1..rows {
                if with[other].is_none() {
                    with[at] = Some(other);
                    with[other] = Some(at);
                    go(at + 1, with, rows, cost, best);
                    with[at] = None;
                    with[other] = None;
                }
            }
        }
    }

    /// The least number of changes, by trying every set of pairs.
    fn least(names: &[(u64, u64)]) -> usize {
        let rows = names.len();
        let find = |name: u64| names.iter().position(|(near, _)| *near == name);
        let mut best = usize::MAX;
        let cost = |with: &[Option<usize>]| {
            (0..rows)
                .filter(|row| {
                    names[*row].1 != 0 && find(names[*row].1) != with[*row]
                        || names[*row].1 == 0 && with[*row].is_some()
                })
                .count()
        };
        go(0, &mut vec![None; rows], rows, &cost, &mut best);
        best
    }

    #[test]
    fn a_chain_a_ring_and_a_half_record() {
        assert_eq!(edits_of(&[(1, 2), (2, 1)]), []);
        assert_eq!(edits_of(&[(1, 2), (2, 0)]), [(1, 0)]);
        assert_eq!(edits_of(&[(1, 2), (2, 3), (3, 2)]), [(0, Row::NO_ID)]);
        assert_eq!(edits_of(&[(1, 2), (2, 3), (3, 1)]).len(), 2);
        assert_eq!(edits_of(&[(1, 2), (2, 3), (3, 4), (4, 1)]).len(), 2);
    }

    proptest::proptest! {
        /// Never more changes than the best of all possible sets of pairs needs.
        #[test]
        fn no_smaller_set_exists(far in proptest::collection::vec(0u64..8, 7)) {
            let names: Vec<(u64, u64)> = far
                .iter()
                .enumerate()
                .map(|(n, far)| (n as u64 + 1, if *far == n as u64 + 1 { 0 } else { *far }))
                .collect();
            let clean: Vec<(u64, u64)> =
                names.iter().map(|(n, f)| (*n, if *f > 7 { 0 } else { *f })).collect();
            proptest::prop_assert_eq!(edits_of(&clean).len(), least(&clean));
        }
    }
}
