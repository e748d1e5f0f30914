//! What rows claim of each other: agreement, contradiction, half records, orphans.

use rustc_hash::FxHashSet;

use super::doubles::Namesakes;
use super::join::Joined;
use super::rows::Looked;
use crate::check::inventory_rules::facts::{Entry, Hit};
use crate::check::inventory_rules::{
    far_end_claimed_twice, far_end_disagrees, far_end_itself, far_end_one_sided, far_end_outside,
    far_end_unknown, index_of,
};
use crate::inventory::{Column, ColumnSet, Inventory, Row, flag};

/// How the far ends of all rows stand.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Matched {
    /// Rows that name a far end.
    pub naming: u64,
    /// Rows whose far end names them back.
    pub mutual: u64,
    /// Rows whose far end stands in a site that is not covered.
    pub outside: u64,
}

/// A hit of a rule about the whole.
pub(super) fn hit(entry: &'static Entry, row: u32, other: u32, detail: (i32, i32)) -> Hit {
    Hit { row, rule: index_of(entry), other, detail }
}

/// Whether two rows name each other.
pub(super) fn agree(a: &Row, b: &Row) -> bool {
    a.near != 0 && b.near != 0 && a.far == b.near && b.far == a.near
}

impl Matched {
    /// Both together.
    pub(super) fn and(self, other: Self) -> Self {
        Self {
            naming: self.naming + other.naming,
            mutual: self.mutual + other.mutual,
            outside: self.outside + other.outside,
        }
    }
}

/// Judges what a row claims; `named` is the row that its far end names. Returns whether both name
/// each other.
pub(super) fn judge(
    inventory: &Inventory,
    (index, row): (u32, &Row),
    named: Option<(u32, &Row)>,
    part: &mut Looked,
) -> bool {
    // A row without a name of its own, which is said elsewhere, cannot be named back.
    if row.far == 0 || row.near == 0 || row.has(flag::MISPLACED) {
        return false;
    }
    part.matched.naming += 1;
    if row.far == row.near {
        part.hits.push(hit(&far_end_itself::ENTRY, index, Row::NO_ID, (0, 0)));
        return false;
    }
    let Some((named, other)) = named else {
        let covered = inventory.sites.get(row.far_site as usize).is_some_and(|site| site.covered);
        part.matched.outside += u64::from(!covered);
        let entry = if covered { &far_end_unknown::ENTRY } else { &far_end_outside::ENTRY };
        part.hits.push(hit(entry, index, Row::NO_ID, (0, 0)));
        return false;
    };
    if agree(row, other) {
        part.matched.mutual += 1;
        return true;
    }
    let has_far = |columns: ColumnSet| [Column::FarSite, Column::FarEnd].iter().any(|c| columns.has(*c));
    if !has_far(inventory.columns_of(named)) {
        return false;
    }
    part.open.push(index);
    if !other.has(flag::FAR_WRITTEN) {
        part.hits.push(hit(&far_end_one_sided::ENTRY, index, named, (0, 0)));
    } else if other.far != 0 {
        part.hits.push(hit(&far_end_disagrees::ENTRY, index, named, (0, 0)));
    }
    false
}

/// Far ends that two rows name. It is said of the rows that the far end does not name back, and instead
/// of what else is wrong with their claims.
pub(super) fn claimed_twice(
    inventory: &Inventory,
    joined: &Joined,
    namesakes: &Namesakes,
    hits: &mut Vec<Hit>,
) {
    let mutual = |row: u32| {
        let named = joined.target[row as usize];
        named != Row::NO_ID && agree(inventory.rows.get(row), inventory.rows.get(named))
    };
    let mut said = FxHashSet::default();
    let near = |row: u32| inventory.rows.get(row).near;
    for part in joined.claims.chunk_by(|a, b| a.0 == b.0) {
        // Two ports with one name may both be named.
        if part.len() < namesakes.of(inventory.rows.get(part[0].0).far) {
            continue;
        }
        let claimers = std::iter::once(part[0].0).chain(part.iter().map(|(_, other)| *other));
        let sound = |row: &u32| !inventory.rows.get(*row).has(flag::MISPLACED);
        let mut claimers: Vec<u32> = claimers.filter(sound).collect();
        // One that is named back, or else the least name, whatever the order of the rows.
        claimers.sort_unstable_by_key(|row| (!mutual(*row), near(*row), *row));
        let Some((holder, others)) = claimers.split_first() else { continue };
        // The same port in two rows is said by another rule.
        let mut last = near(*holder);
        for row in others.iter().filter(|row| !mutual(**row)) {
            if near(*row) == 0 || near(*row) != last {
                let detail = (i32::from(mutual(*holder)), 0);
                hits.push(hit(&far_end_claimed_twice::ENTRY, *row, *holder, detail));
                said.insert(*row);
            }
            last = near(*row);
        }
    }
    let others = [index_of(&far_end_disagrees::ENTRY), index_of(&far_end_one_sided::ENTRY)];
    hits.retain(|hit| !(others.contains(&hit.rule) && said.contains(&hit.row)));
}
