//! What rows claim of each other: agreement, contradiction, half records, orphans.

use rayon::prelude::*;

use super::join::Joined;
use crate::check::inventory_rules::facts::{Entry, Hit};
use crate::check::inventory_rules::{
    conflicting_rows, duplicate_row, far_end_claimed_twice, far_end_disagrees, far_end_itself,
    far_end_one_sided, far_end_outside, far_end_unknown, index_of,
};
use crate::inventory::{Inventory, Row, flag};

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

/// Judges every claim. Returns how the far ends stand, and the rows whose claim another row of the
/// inventory does not agree with.
pub fn judge(inventory: &Inventory, joined: &Joined, hits: &mut Vec<Hit>) -> (Matched, Vec<u32>) {
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    let one = |(first, rows): &(u32, &[Row])| {
        let mut part = Part::default();
        for (n, row) in rows.iter().enumerate() {
            if row.far != 0 && !row.has(flag::SHIFTED) {
                claim(inventory, joined, first + n as u32, row, &mut part);
            }
        }
        part
    };
    let parts: Vec<Part> = pieces.par_iter().map(one).collect();
    let (mut matched, mut open) = (Matched::default(), Vec::new());
    for part in parts {
        matched.naming += part.matched.naming;
        matched.mutual += part.matched.mutual;
        matched.outside += part.matched.outside;
        hits.extend(part.hits);
        open.extend(part.open);
    }
    doubles(inventory, joined, hits);
    (matched, open)
}

/// What one piece of the inventory says.
#[derive(Default)]
struct Part {
    matched: Matched,
    hits: Vec<Hit>,
    open: Vec<u32>,
}

fn claim(inventory: &Inventory, joined: &Joined, index: u32, row: &Row, part: &mut Part) {
    part.matched.naming += 1;
    let named = joined.target[index as usize];
    if row.far == row.near {
        part.hits.push(hit(&far_end_itself::ENTRY, index, Row::NO_ID, (0, 0)));
    } else if named == Row::NO_ID {
        let covered = inventory.sites.get(row.far_site as usize).is_some_and(|site| site.covered);
        part.matched.outside += u64::from(!covered);
        let entry = if covered { &far_end_unknown::ENTRY } else { &far_end_outside::ENTRY };
        part.hits.push(hit(entry, index, Row::NO_ID, (0, 0)));
    } else {
        let other = inventory.rows.get(named);
        if agree(row, other) {
            part.matched.mutual += 1;
            return;
        }
        part.open.push(index);
        if !other.has(flag::FAR_WRITTEN) {
            part.hits.push(hit(&far_end_one_sided::ENTRY, index, named, (0, 0)));
        } else if other.far != 0 {
            part.hits.push(hit(&far_end_disagrees::ENTRY, index, named, (0, 0)));
        }
    }
}

fn doubles(inventory: &Inventory, joined: &Joined, hits: &mut Vec<Hit>) {
    for (first, other) in &joined.doubles {
        let (a, b) = (inventory.rows.get(*first), inventory.rows.get(*other));
        let entry = if same(a, b) { &duplicate_row::ENTRY } else { &conflicting_rows::ENTRY };
        hits.push(hit(entry, *other, *first, (0, 0)));
    }
    for (first, other) in &joined.claims {
        let (a, b) = (inventory.rows.get(*first), inventory.rows.get(*other));
        if a.near == 0 || a.near != b.near {
            hits.push(hit(&far_end_claimed_twice::ENTRY, *other, *first, (0, 0)));
        }
    }
}

/// Whether two rows say the same but for where they stand in the file.
fn same(a: &Row, b: &Row) -> bool {
    let ids = |r: &Row| (r.near, r.far, r.serial, r.circuit, r.frame, r.strand, r.jumper);
    let words = |r: &Row| (r.profile, r.card, r.flags, r.path, r.onus);
    let numbers = |r: &Row| (r.tx, r.rx, r.loss, r.pad, r.temperature, r.spread, r.bias);
    ids(a) == ids(b)
        && words(a) == words(b)
        && numbers(a) == numbers(b)
        && (a.installed, a.proven) == (b.installed, b.proven)
}
