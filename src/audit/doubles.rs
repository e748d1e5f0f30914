//! Rows with one name: one port in two rows, or two ports that the name does not tell apart.

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use super::Texts;
use super::claims::hit;
use super::join::Joined;
use crate::check::inventory_rules::facts::Hit;
use crate::check::inventory_rules::{conflicting_rows, duplicate_row};
use crate::inventory::{COLUMNS, Column, ColumnKind, Inventory, Profile, Row, flag, name};

/// Groups of rows that one thread looks at.
const PART: usize = 64;

/// Rows with one name that are no longer told apart by their letters: such a name is no name.
const MANY: usize = 64;

/// Names that stand for more than one port.
#[derive(Debug, Default)]
pub(super) struct Namesakes(FxHashMap<u64, usize>);

impl Namesakes {
    /// How many ports have a name.
    pub(super) fn of(&self, name: u64) -> usize {
        self.0.get(&name).copied().unwrap_or(1)
    }
}

/// Says which rows are one port twice. Rows of two shelves, or of one file with unlike letters (`PON 3`
/// and `ETH 3` of one slot), are two ports.
///
/// # Errors
/// A row cannot be read again.
pub(super) fn judge<T: Texts>(
    inventory: &Inventory,
    joined: &Joined,
    texts: &T,
    hits: &mut Vec<Hit>,
) -> Result<Namesakes, T::Trouble> {
    let groups: Vec<&[(u32, u32)]> = joined.doubles.chunk_by(|a, b| a.0 == b.0).collect();
    let one = |groups: &[&[(u32, u32)]]| {
        let mut texts = texts.another();
        let (mut hits, mut several) = (Vec::new(), Vec::new());
        for group in groups {
            let rows = std::iter::once(group[0].0).chain(group.iter().map(|(_, other)| *other));
            let sound = |row: &u32| !inventory.rows.get(*row).has(flag::MISPLACED);
            let rows: Vec<u32> = rows.filter(sound).collect();
            let ports = ports(inventory, &rows, &mut texts)?;
            if ports.len() > 1 {
                several.push((inventory.rows.get(group[0].0).near, ports.len()));
            }
            for port in &ports {
                for other in &port.rows[1..] {
                    let entry = if contradict(inventory, port.rows[0], *other) {
                        &conflicting_rows::ENTRY
                    } else {
                        &duplicate_row::ENTRY
                    };
                    hits.push(hit(entry, *other, port.rows[0], (0, 0)));
                }
            }
        }
        Ok((hits, several))
    };
    let parts: Result<Vec<_>, T::Trouble> = groups.par_chunks(PART).map(one).collect();
    let mut namesakes = Namesakes::default();
    for (some, several) in parts? {
        hits.extend(some);
        namesakes.0.extend(several);
    }
    Ok(namesakes)
}

/// A port, as far as rows with one name can be told apart.
struct Port {
    shelf: u32,
    /// File and letters of its name, where they were looked at.
    letters: Option<(usize, String)>,
    rows: Vec<u32>,
}

/// Parts rows with one name into ports.
fn ports<T: Texts>(inventory: &Inventory, rows: &[u32], texts: &mut T) -> Result<Vec<Port>, T::Trouble> {
    let file = |row: u32| inventory.part_of(row);
    let shelf =
        |row: u32| inventory.cards.get(inventory.rows.get(row).card).map_or(0, |card| card.shelf);
    let mut ports: Vec<Port> = Vec::new();
    for row in rows {
        let has_others = || rows.iter().filter(|other| file(**other) == file(*row)).count() > 1;
        let letters = if rows.len() <= MANY && has_others() {
            Some((file(*row), letters(&texts.cell(*row, Column::Port)?)))
        } else {
            None
        };
        let own = shelf(*row);
        let is_same = |port: &Port| {
            let shelves = port.shelf == 0 || own == 0 || port.shelf == own;
            let names = match (&port.letters, &letters) {
                (Some((file, one)), Some((other_file, other))) => {
                    file != other_file || one.is_empty() || other.is_empty() || one == other
                }
                _ => true,
            };
            shelves && names
        };
        match ports.iter_mut().find(|port| is_same(port)) {
            Some(port) => port.rows.push(*row),
            None => ports.push(Port { shelf: own, letters, rows: vec![*row] }),
        }
    }
    Ok(ports)
}

/// The letters of a port's name, in capitals.
fn letters(port: &str) -> String {
    port.chars().filter(|letter| letter.is_alphabetic()).flat_map(char::to_uppercase).collect()
}

/// Whether two rows say unlike things of one port. What only one of them says is no contradiction, and
/// readings change from hour to hour.
fn contradict(inventory: &Inventory, a: u32, b: u32) -> bool {
    let (a, b) = (inventory.rows.get(a), inventory.rows.get(b));
    let ids = |row: &Row| [row.serial, row.circuit, row.frame, row.strand, row.jumper];
    let unlike = |a: u64, b: u64, nothing: u64| a != nothing && b != nothing && a != b;
    let none = u64::from(Row::NO_ID);
    let level = |value: i16| u64::from(value as u16);
    unlike(a.far, b.far, 0)
        || ids(a).iter().zip(ids(b)).any(|(a, b)| unlike(u64::from(*a), u64::from(b), 0))
        || unlike(u64::from(a.path), u64::from(b.path), none)
        || unlike(level(a.loss), level(b.loss), level(Row::NONE))
        || unlike(level(a.pad), level(b.pad), level(Row::NONE))
        || unlike(u64::from(a.installed), u64::from(b.installed), 0)
        || (a.profile != b.profile && words_contradict(inventory.profile(a), inventory.profile(b)))
}

fn words_contradict(a: &Profile, b: &Profile) -> bool {
    let optics = [(&a.optic, &b.optic), (&a.far_optic, &b.far_optic), (&a.planned, &b.planned)];
    let of_optics = [Column::Module, Column::FarModule, Column::PlannedModule];
    let words = COLUMNS.iter().filter(|column| column.kind() == ColumnKind::Word);
    words.into_iter().any(|column| {
        let (one, other) = (a.word(*column), b.word(*column));
        if let Some(at) = of_optics.iter().position(|known| known == column)
            && let (Some(one), Some(other)) = optics[at]
        {
            return one.name != other.name;
        }
        let (one, other) = (normal(one), normal(other));
        !one.is_empty() && !other.is_empty() && one != other
    })
}

/// A word without regard to case and marks; numbers without regard to their spelling.
fn normal(word: &str) -> String {
    match word.trim().replace(',', ".").parse::<f64>() {
        Ok(number) => number.to_string(),
        Err(_) => name::site(word),
    }
}
