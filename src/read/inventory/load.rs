//! Reading whole inventories: chunks are read one after the other, parsed on all cores, and put
//! together in their order.

use std::path::PathBuf;

use rayon::prelude::*;
use rustc_hash::FxHashSet;

use super::again::Places;
use super::caches::Shared;
use super::chunks::{Chunk, Chunks};
use super::header::Synonyms;
use super::layout::Layout;
use super::map::{ColumnMap, read_map};
use super::parse::{Carry, Parsed, parse};
use super::{Opened, Trouble, open};
use crate::check::Finding;
use crate::check::inventory_rules::no_heads;
use crate::inventory::{Inventory, Row, TurnCell, Turns};
use crate::read::sources::Sources;
use crate::tables::Tables;

/// Chunks that are in memory at a time, twice: one lot is parsed while the next is read.
const LOT: usize = 128;

/// Inputs that are opened and whose heads are known, but whose rows are not read yet.
#[derive(Debug)]
pub struct Inputs {
    /// The files and sheets.
    pub files: Vec<Opened>,
    /// Their columns.
    pub layouts: Vec<Layout>,
    /// What the user says of the columns.
    pub map: ColumnMap,
    /// Inputs and sheets that are not read.
    pub left_out: Vec<LeftOut>,
}

/// An input or a sheet that is not read.
#[derive(Debug, Clone)]
pub struct LeftOut {
    /// Its name.
    pub name: String,
    /// Why, in a few words.
    pub why: &'static str,
}

/// What becomes of the inputs while they are opened.
#[derive(Default)]
struct Opening {
    files: Vec<Opened>,
    layouts: Vec<Layout>,
    left_out: Vec<LeftOut>,
    faults: Vec<Finding>,
}

/// A read inventory and where its rows stand.
#[derive(Debug)]
pub struct Loaded {
    /// The rows.
    pub inventory: Inventory,
    /// Where they stand.
    pub places: Places,
}

/// Opens inputs and finds their heads.
///
/// # Errors
/// All faults of all inputs.
pub fn open_all(
    paths: &[PathBuf],
    map: Option<&PathBuf>,
    tables: &Tables,
    sources: &mut Sources,
) -> Result<Inputs, Trouble> {
    let map = map.map_or_else(|| Ok(ColumnMap::default()), |path| read_map(path, sources))?;
    let synonyms = Synonyms::of(tables);
    let mut opening = Opening::default();
    let mut seen = FxHashSet::default();
    for path in paths {
        // A path that cannot be followed is told when it is opened.
        if !seen.insert(path.canonicalize().unwrap_or_else(|_| path.clone())) {
            let name = open::shown(path);
            opening.left_out.push(LeftOut { name, why: "it is given twice, and read once" });
            continue;
        }
        match open::open(path, sources) {
            Ok(opened) => opening.take(opened, &synonyms, &map)?,
            Err(Trouble::Input(findings)) => opening.faults.extend(findings),
            Err(trouble) => return Err(trouble),
        }
    }
    let Opening { files, layouts, left_out, mut faults } = opening;
    if faults.is_empty() {
        faults = map.faults(&layouts);
    }
    if faults.is_empty() {
        Ok(Inputs { files, layouts, map, left_out })
    } else {
        Err(Trouble::Input(faults))
    }
}

impl Opening {
    /// Finds the heads of a file, or of the sheets of a workbook.
    fn take(
        &mut self,
        opened: Vec<Opened>,
        synonyms: &Synonyms,
        map: &ColumnMap,
    ) -> Result<(), Trouble> {
        let (before, mut faults) = (self.files.len(), Vec::new());
        for file in opened {
            let sample = super::again::read_at(&file.file, file.start, 1 << 18)
                .map_err(Trouble::io(format!("reading {}", file.name)))?;
            match Layout::of(&sample, &file, synonyms, map) {
                Ok(layout) => {
                    let why = "it lies far from the table, and what lies there is not read";
                    self.left_out.extend(file.far.clone().map(|name| LeftOut { name, why }));
                    self.files.push(file);
                    self.layouts.push(layout);
                }
                Err(finding) => faults.push((file, *finding)),
            }
        }
        // A workbook may hold sheets of other things beside one of ports.
        let some = self.files.len() > before;
        for (file, finding) in faults {
            if some && finding.rule.id == no_heads::RULE.id {
                let why = if file.length == 0 { "it is empty" } else { "no known heads" };
                self.left_out.push(LeftOut { name: file.name, why });
            } else {
                self.faults.push(finding);
            }
        }
        Ok(())
    }
}

/// Reads all rows. `progress` is told the bytes and rows read so far.
///
/// # Errors
/// Reading failed, or a quotation mark is never closed.
pub fn load(
    inputs: &Inputs,
    tables: &Tables,
    progress: &(dyn Fn(u64, u64) + Sync),
) -> Result<Loaded, Trouble> {
    let mut inventory = Inventory::default();
    let mut shared = Shared::default();
    let mut places = Places::default();
    let mut done = 0;
    for (index, (file, layout)) in inputs.files.iter().zip(&inputs.layouts).enumerate() {
        inventory.columns = inventory.columns.or(layout.columns);
        inventory.parts.push((inventory.rows.len() as u32, layout.columns));
        let mut chunks = Chunks::new(file, layout)?;
        let mut carry = (!layout.fill_down.is_empty()).then(Carry::default);
        let mut line = layout.first_line;
        let mut lot = read_lot(&mut chunks)?;
        while !lot.is_empty() {
            let parse_one = |chunk: &Chunk, carry: Option<&mut Carry>| {
                parse(chunk, index as u16, layout, &inputs.map, &shared, Turns::default(), carry)
            };
            let (parsed, next) = rayon::join(
                || match carry.as_mut() {
                    Some(carry) => lot.iter().map(|chunk| parse_one(chunk, Some(carry))).collect(),
                    None => lot.par_iter().map(|chunk| parse_one(chunk, None)).collect::<Vec<_>>(),
                },
                || read_lot(&mut chunks),
            );
            done += lot.iter().map(|chunk| chunk.bytes.len() as u64).sum::<u64>();
            let (rows, places) = (&mut inventory, &mut places);
            gather(parsed, (index as u16, &mut line), &mut shared, rows, places, tables);
            chunks.recycle(std::mem::replace(&mut lot, next?));
            progress(done, inventory.rows.len() as u64);
        }
    }
    Ok(Loaded { inventory, places })
}

fn read_lot(chunks: &mut Chunks<'_>) -> Result<Vec<Chunk>, Trouble> {
    let mut lot = Vec::with_capacity(LOT);
    while lot.len() < LOT {
        let Some(chunk) = chunks.next()? else { break };
        lot.push(chunk);
    }
    Ok(lot)
}

/// Puts the rows of a lot to the others, in order.
fn gather(
    mut parsed: Vec<Parsed>,
    (file, line): (u16, &mut u64),
    shared: &mut Shared,
    inventory: &mut Inventory,
    places: &mut Places,
    tables: &Tables,
) {
    let locals = parsed.iter_mut().map(|part| std::mem::take(&mut part.local)).collect();
    let renumbers = shared.take(locals, inventory, tables);
    let mut first = inventory.rows.len() as u32;
    let rows: Vec<&[Row]> = parsed.iter().map(|part| part.rows.as_slice()).collect();
    inventory.rows.extend_changed(&rows, |part, row| renumbers[part].apply(*row));
    for mut part in parsed {
        places.add(first, file, part.offset, *line);
        *line += part.lines;
        inventory.skipped += part.skipped;
        inventory.turns.merge(std::mem::take(&mut part.turns));
        let groups = part.groups.iter().map(|(row, group)| (row + first, *group));
        inventory.groups.extend(groups);
        inventory.damaged.extend(part.damaged.into_iter().map(|mut candidates| {
            candidates.row += first;
            candidates
        }));
        first += part.rows.len() as u32;
    }
}

/// Reads everything once more and hands on every cell that was read as something else than it says,
/// with the number of its file, in order.
///
/// # Errors
/// Reading failed, or `each` did.
pub fn reinterpretations<E: From<Trouble>>(
    inputs: &Inputs,
    mut each: impl FnMut(u16, &TurnCell) -> Result<(), E>,
) -> Result<(), E> {
    let shared = Shared::default();
    for (index, (file, layout)) in inputs.files.iter().zip(&inputs.layouts).enumerate() {
        let mut chunks = Chunks::new(file, layout)?;
        let mut carry = (!layout.fill_down.is_empty()).then(Carry::default);
        while let Some(chunk) = chunks.next()? {
            let turns = Turns::logging();
            let parsed =
                parse(&chunk, index as u16, layout, &inputs.map, &shared, turns, carry.as_mut());
            for cell in parsed.turns.cells() {
                each(index as u16, cell)?;
            }
        }
    }
    Ok(())
}
