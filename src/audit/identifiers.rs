//! Identifiers that stand twice, by their texts.

use rayon::prelude::*;

use super::Texts;
use super::claims::hit;
use super::same::{self, Alike, Identifier};
use crate::check::inventory_rules::facts::{Entry, Hit};
use crate::check::inventory_rules::{
    circuit_many_ports, frame_port_twice, group_shares, jumper_twice, serial_twice, strand_twice,
};
use crate::inventory::{Inventory, name};

/// Groups of rows whose texts one thread compares at a time.
const PART: usize = 64;

/// Hits of the identifiers that stand twice. Fingerprints may be equal by chance, so the texts are
/// compared.
///
/// # Errors
/// A row cannot be read again.
pub(super) fn judge<T: Texts>(
    inventory: &Inventory,
    target: &[u32],
    represented: &[u8],
    texts: &T,
) -> Result<Vec<Hit>, T::Trouble> {
    let groups = same::alike(inventory, represented);
    let one = |groups: &[Alike]| {
        let mut texts = texts.another();
        let mut hits = Vec::new();
        for group in groups {
            for rows in equal(inventory, group, &mut texts)? {
                let others = same::others(inventory, target, group.identifier, &rows);
                hits.extend(others.map(|other| hit(entry(group.identifier), other, rows[0], (0, 0))));
            }
        }
        Ok(hits)
    };
    let parts: Result<Vec<Vec<Hit>>, T::Trouble> = groups.par_chunks(PART).map(one).collect();
    Ok(parts?.into_iter().flatten().collect())
}

/// The rows of a group parted into those that have equal texts; single ones are left out.
fn equal<T: Texts>(
    inventory: &Inventory,
    group: &Alike,
    texts: &mut T,
) -> Result<Vec<Vec<u32>>, T::Trouble> {
    // By name, so that the order of the rows in their files does not matter.
    let mut read: Vec<(Option<u64>, String, u64, u32)> = Vec::with_capacity(group.rows.len());
    for index in &group.rows {
        let text = name::identifier(&texts.cell(*index, group.identifier.column())?);
        // A frame position is one of its site, and so is a strand or jumper without a name.
        let local = match group.identifier {
            Identifier::Frame => true,
            Identifier::Strand | Identifier::Jumper => name::is_bare(&text),
            _ => false,
        };
        let site = local.then(|| site(inventory, *index));
        read.push((site, text, inventory.rows.get(*index).near, *index));
    }
    read.sort_unstable();
    let equal = read.chunk_by(|a, b| (a.0, &a.1) == (b.0, &b.1)).filter(|part| part.len() > 1);
    Ok(equal.map(|part| part.iter().map(|(_, _, _, index)| *index).collect()).collect())
}

/// The normal name of a row's site, as a hash.
fn site(inventory: &Inventory, index: u32) -> u64 {
    inventory.site(inventory.rows.get(index)).map_or(0, |site| site.hash)
}

fn entry(identifier: Identifier) -> &'static Entry {
    match identifier {
        Identifier::Serial => &serial_twice::ENTRY,
        Identifier::Circuit => &circuit_many_ports::ENTRY,
        Identifier::Frame => &frame_port_twice::ENTRY,
        Identifier::Strand => &strand_twice::ENTRY,
        Identifier::Jumper => &jumper_twice::ENTRY,
        Identifier::Group => &group_shares::ENTRY,
    }
}
