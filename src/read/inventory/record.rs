//! One record becomes one row.

use std::hash::{BuildHasher, Hasher};

use super::caches::{Local, Shared};
use super::fields::Cells;
use super::layout::Layout;
use super::map::ColumnMap;
use crate::inventory::number::{Quantity, Reading, read};
use crate::inventory::print::{Salt, print};
use crate::inventory::{
    Candidates, Card, Column, Row, Turn, Turns, blank, damage, date, flag, name, note,
};

/// Number cells of a row that must be no numbers before the row is taken for shifted.
const SHIFTED_CELLS: u32 = 3;

/// What is read while a chunk is read.
pub(super) struct Reader<'r> {
    pub(super) chunk: &'r [u8],
    pub(super) layout: &'r Layout,
    pub(super) map: &'r ColumnMap,
    pub(super) shared: &'r Shared,
    pub(super) local: Local,
    pub(super) turns: Turns,
    pub(super) damaged: Vec<Candidates>,
    /// Rows of a diversity group.
    pub(super) groups: Vec<(u32, u32)>,
    pub(super) file: u16,
    /// First byte of the chunk in the file.
    pub(super) offset: u64,
    /// First byte of the record in the chunk.
    pub(super) at: usize,
    /// Number of the row in the chunk.
    pub(super) number: u32,
    /// Buffer for normal forms.
    pub(super) buffer: Vec<u8>,
    /// Site and card of the row before.
    pub(super) last: Last,
}

/// Site and card of the row before: exports come in the order of the equipment, so the next row mostly
/// stands on the same card.
#[derive(Debug, Default)]
pub(super) struct Last {
    cells: [Vec<u8>; 3],
    site: u32,
    site_hash: u64,
    card: u32,
}

impl Last {
    /// Whether a row stands on the same card, by its cells for site, shelf and slot.
    fn of(&self, site: &[u8], shelf: &[u8], slot: &[u8]) -> Option<LastCard> {
        let [last_site, last_shelf, last_slot] = &self.cells;
        let same = !slot.is_empty() && slot == last_slot && shelf == last_shelf && site == last_site;
        (same && !site.is_empty()).then_some(LastCard {
            site: self.site,
            site_hash: self.site_hash,
            card: self.card,
        })
    }

    fn put(&mut self, cells: [&[u8]; 3], site: u32, site_hash: u64, card: u32) {
        for (mine, cell) in self.cells.iter_mut().zip(cells) {
            mine.clear();
            mine.extend_from_slice(cell);
        }
        (self.site, self.site_hash, self.card) = (site, site_hash, card);
    }
}

/// What [`Last`] knows.
#[derive(Debug, Clone, Copy)]
struct LastCard {
    site: u32,
    site_hash: u64,
    card: u32,
}

impl Reader<'_> {
    /// Reads a record.
    pub(super) fn row(&mut self, cells: Cells<'_>) -> Row {
        let mut row = Row { offset: self.at as u32, ..Row::EMPTY };
        if cells.len() != self.layout.heads.len() && !self.only_blanks_beyond(cells) {
            row.flags |= flag::RAGGED;
            // A delimiter too many moves what stands behind it: nothing of the row is believed.
            if cells.len() > self.layout.heads.len() {
                row.flags |= flag::SHIFTED;
            }
        }
        let site = self.near(cells, &mut row);
        self.far(cells, &mut row);
        row.profile = self.profile(cells);
        self.identifiers(cells, site, &mut row);
        self.numbers(cells, &mut row);
        row.installed = self.day(cells, Column::Installed, &mut row);
        row.proven = self.day(cells, Column::Proven, &mut row);
        if self.layout.has(Column::Note) && note::is_temporary(self.cell(cells, Column::Note)) {
            row.flags |= flag::TEMPORARY;
        }
        row
    }

    fn cell<'a>(&self, cells: Cells<'a>, column: Column) -> &'a [u8] {
        cells.cell(self.layout.at(column))
    }

    /// Delimiters at the end of a line are no cells.
    fn only_blanks_beyond(&self, cells: Cells<'_>) -> bool {
        let width = self.layout.heads.len();
        cells.len() > width && (width..cells.len()).all(|i| cells.cell(i).is_empty())
    }

    fn turn(&mut self, column: Column, turn: Turn, raw: &[u8]) {
        let place = (self.file, self.offset + self.at as u64);
        self.turns.add(column, turn, place, &String::from_utf8_lossy(raw));
    }

    /// Site, card and port; returns the hash of the site.
    fn near(&mut self, cells: Cells<'_>, row: &mut Row) -> u64 {
        let layout = self.layout;
        let cell = |column| cells.cell(layout.at(column));
        let (site, shelf) = (cell(Column::Site), cell(Column::Shelf));
        let (slot, port) = (cell(Column::Slot), cell(Column::Port));
        let known = self.last.of(site, shelf, slot);
        let (mut site_id, mut site_hash) = (Row::NO_ID, 0);
        match known {
            Some(last) => (site_id, site_hash) = (last.site, last.site_hash),
            None if site.is_empty() => row.flags |= flag::NO_SITE,
            None => (site_id, site_hash) = self.site(site, true),
        }
        let mut buffer = std::mem::take(&mut self.buffer);
        buffer.clear();
        if port.is_empty() {
            row.flags |= flag::NO_PORT;
        } else if let Some(names) = quick_damage(port) {
            row.flags |= flag::DAMAGED_PORT;
            self.candidates(names, site_hash, false);
        } else {
            name::push_own_port(shelf, slot, port, &mut buffer);
            if site_hash != 0 {
                row.near = name::port_key(site_hash, name::hash(&buffer));
            }
        }
        row.card = match known {
            Some(last) => last.card,
            None => {
                let hash = card_hash(site_hash, shelf, slot, &mut buffer);
                buffer.clear();
                name::push_port(shelf, &mut buffer);
                let print = (name::port_key(site_hash, name::hash(&buffer)) >> 32) as u32;
                let card = Card { site: site_id, shelf: print };
                let card = self.local.card(self.shared, hash, card);
                self.last.put([site, shelf, slot], site_id, site_hash, card);
                card
            }
        };
        self.buffer = buffer;
        site_hash
    }

    /// A site's id and hash.
    fn site(&mut self, cell: &[u8], covered: bool) -> (u32, u64) {
        let map = self.map;
        self.local.site(self.shared, name::hash(cell), covered, || {
            let spelling = super::header::text(cell);
            let normal = name::site(&spelling);
            let normal = map.sites.get(&normal).cloned().unwrap_or(normal);
            (name::hash(normal.as_bytes()), spelling)
        })
    }

    fn candidates(&mut self, names: Vec<String>, site: u64, far: bool) {
        if names.is_empty() || site == 0 {
            return;
        }
        let keys = names.iter().map(|n| name::port_key(site, name::hash(n.as_bytes()))).collect();
        self.damaged.push(Candidates { row: self.number, far, keys, names });
    }

    /// The far end.
    fn far(&mut self, cells: Cells<'_>, row: &mut Row) {
        let layout = self.layout;
        let cell = |column| cells.cell(layout.at(column));
        let said = |column| Some(cell(column)).filter(|cell| !says_nothing(cell)).unwrap_or_default();
        let (mut site, mut port) = (said(Column::FarSite), said(Column::FarPort));
        if site.is_empty() && port.is_empty() {
            let end = said(Column::FarEnd);
            if end.is_empty() {
                return;
            }
            row.flags |= flag::FAR_WRITTEN;
            match str::from_utf8(end).ok().and_then(name::part_far_end) {
                Some((a, b)) => (site, port) = (a.as_bytes(), b.as_bytes()),
                None => {
                    row.flags |= flag::FAR_UNCLEAR;
                    return;
                }
            }
            self.turn(Column::FarEnd, Turn::PartedFarEnd, end);
        }
        row.flags |= flag::FAR_WRITTEN;
        if name::are_two_ports(port) && !damage::is_exponent(&text(port)) {
            row.flags |= flag::TWO_FARS;
            return;
        }
        // A far site may be left out where both ends stand in one site: that is never guessed.
        if site.is_empty() || !port.iter().any(u8::is_ascii_digit) {
            row.flags |= flag::FAR_UNCLEAR;
            return;
        }
        let (id, hash) = self.site(site, false);
        row.far_site = id;
        if let Some(names) = quick_damage(port) {
            row.flags |= flag::DAMAGED_FAR;
            self.candidates(names, hash, true);
            return;
        }
        let mut buffer = std::mem::take(&mut self.buffer);
        buffer.clear();
        name::push_port(port, &mut buffer);
        row.far = name::port_key(hash, name::hash(&buffer));
        self.buffer = buffer;
    }

    fn profile(&mut self, cells: Cells<'_>) -> u32 {
        let mut hasher = foldhash::quality::FixedState::with_seed(7).build_hasher();
        for (first, last) in &self.layout.word_runs {
            let (first, last) = (usize::from(*first), usize::from(*last).min(cells.len() - 1));
            if first > last {
                continue;
            }
            if let Some(run) = cells.run(first, last) {
                hasher.write(run);
                hasher.write_u8(0xFE);
            } else {
                // Cells in quotes may hold delimiters: their lengths tell them apart.
                for cell in (first..=last).map(|index| cells.cell(index)) {
                    hasher.write(cell);
                    hasher.write_usize(cell.len());
                }
            }
        }
        let layout = self.layout;
        self.local.profile(self.shared, hasher.finish(), || {
            let word = |at: &u16| super::header::text(cells.cell(usize::from(*at)));
            layout.words.iter().map(word).collect()
        })
    }

    fn identifiers(&mut self, cells: Cells<'_>, site: u64, row: &mut Row) {
        let mut print = |column: Column, salt: Salt| {
            let cell = cells.cell(self.layout.at(column));
            if cell.is_empty() {
                return 0;
            }
            let print = print(cell, salt);
            let exponent = print.has_plus && damage::is_exponent(&text(cell));
            let may_be_date = column == Column::FramePort && print.has_run;
            if exponent || (may_be_date && quick_damage(cell).is_some()) {
                row.flags |= flag::DAMAGED_ID;
                return 0;
            }
            print.value
        };
        let serial = print(Column::Serial, Salt::ANYWHERE);
        let circuit = print(Column::Circuit, Salt::ANYWHERE);
        let frame = print(Column::FramePort, Salt::at(site));
        let strand = print(Column::Strand, Salt::bare_at(site));
        let jumper = print(Column::Jumper, Salt::bare_at(site));
        let group = print(Column::DiversityGroup, Salt::ANYWHERE);
        (row.serial, row.circuit, row.frame) = (serial, circuit, frame);
        (row.strand, row.jumper) = (strand, jumper);
        if group != 0 {
            self.groups.push((self.number, group));
        }
        if jumper != 0 {
            row.flags |= flag::HAS_JUMPER;
        }
        // A damaged one has no fingerprint and is one nevertheless.
        let written = self.cell(cells, Column::Serial);
        if serial != 0 || !blank::says_nothing(&text(written)) {
            row.flags |= flag::HAS_SERIAL;
        }
    }

    fn numbers(&mut self, cells: Cells<'_>, row: &mut Row) {
        let layout = self.layout;
        let (mut bad, mut alien) = (0, 0);
        for (column, at, quantity) in &layout.numbers {
            let cell = cells.cell(usize::from(*at));
            if cell.is_empty() {
                continue;
            }
            if let Some(hundredths) = plain(cell, *quantity) {
                put(row, *column, hundredths);
                continue;
            }
            let reading = read(&super::header::text(cell), *quantity);
            bad += u32::from(reading.bad);
            alien += u32::from(reading.alien);
            for turn in &reading.turns {
                let raw = cells.cell(usize::from(*at)).to_vec();
                self.turn(*column, *turn, &raw);
            }
            marks(row, *column, &reading);
            if let Some(value) = reading.value {
                put(row, *column, value);
            }
        }
        if alien >= SHIFTED_CELLS {
            row.flags |= flag::SHIFTED;
        } else if bad > 0 {
            row.flags |= flag::UNREADABLE;
        }
    }

    fn day(&mut self, cells: Cells<'_>, column: Column, row: &mut Row) -> u16 {
        if !self.layout.has(column) {
            return 0;
        }
        let cell = self.cell(cells, column);
        if cell.is_empty() {
            return 0;
        }
        if let Some(days) = date::plain(cell) {
            return kept(days);
        }
        let raw = cell.to_vec();
        let days = match date::read(&text(&raw)) {
            date::Day::At(days) => days,
            date::Day::Unclear => {
                row.flags |= flag::DATE_UNCLEAR;
                return 0;
            }
            date::Day::No => {
                row.flags |= flag::UNREADABLE;
                return 0;
            }
        };
        self.turn(column, Turn::DayForm, &raw);
        kept(days)
    }
}

fn text(bytes: &[u8]) -> std::borrow::Cow<'_, str> {
    String::from_utf8_lossy(bytes)
}

/// Whether a cell is empty or says nothing. A digit says something, and most cells have one.
fn says_nothing(cell: &[u8]) -> bool {
    !cell.iter().any(u8::is_ascii_digit) && blank::says_nothing(&text(cell))
}

/// A day as a row keeps it. What lies before the first day that can be kept is old in any case.
fn kept(days: i64) -> u16 {
    days.clamp(i64::from(Row::FIRST_DAY), i64::from(u16::MAX)) as u16
}

/// The names a port may have had, if it looks like a date or a power of ten.
fn quick_damage(port: &[u8]) -> Option<Vec<String>> {
    let short = port.len() < 8 && !port.iter().any(u8::is_ascii_alphabetic);
    let digits = port.len() == 5 && port.iter().all(u8::is_ascii_digit);
    if (short && !digits) || !damage::may_be_damaged(port) {
        return None;
    }
    damage::candidates(&text(port))
}

fn card_hash(site: u64, shelf: &[u8], slot: &[u8], buffer: &mut Vec<u8>) -> u64 {
    if shelf.is_empty() && slot.is_empty() {
        // The card is what stands before the last number of the port: `1/3` of `1/3/7`.
        let cut = buffer.iter().rposition(|b| *b == b'/').unwrap_or(0);
        return name::port_key(site, name::hash(&buffer[..cut]));
    }
    buffer.clear();
    name::push_port(shelf, buffer);
    buffer.push(b'|');
    name::push_port(slot, buffer);
    name::port_key(site, name::hash(buffer))
}

/// Hundredths of one unit of the last decimal, by the number of decimals.
const SCALE: [f64; 9] = [100.0, 10.0, 1.0, 0.1, 1e-2, 1e-3, 1e-4, 1e-5, 1e-6];

/// A plain number in hundredths, where nothing about it has to be decided.
fn plain(cell: &[u8], quantity: Quantity) -> Option<f64> {
    let (sign, digits) = match cell.split_first()? {
        (b'-', rest) => (-1, rest),
        _ => (1, cell),
    };
    let mut value: i64 = 0;
    let mut decimals = None;
    if digits.is_empty() || digits.len() > 8 {
        return None;
    }
    for byte in digits {
        match byte {
            b'0'..=b'9' => {
                value = value * 10 + i64::from(byte - b'0');
                decimals = decimals.map(|count: u32| count + 1);
            }
            b'.' if decimals.is_none() => decimals = Some(0),
            _ => return None,
        }
    }
    let hundredths = (sign * value) as f64 * SCALE.get(decimals.unwrap_or(0) as usize)?;
    match quantity {
        Quantity::Level(crate::inventory::number::LevelUnit::Dbm) => {
            (hundredths.abs() < 3_999.0).then_some(hundredths)
        }
        Quantity::Level(_) => None,
        Quantity::Length(meters) => Some(hundredths / 100.0 * meters),
        _ => Some(hundredths),
    }
}

/// Marks of a reading.
fn marks(row: &mut Row, column: Column, reading: &Reading) {
    if reading.dark {
        match column {
            Column::Rx => row.flags |= flag::DARK_RX,
            Column::Tx => row.flags |= flag::DARK_TX,
            _ => {}
        }
    }
    if column == Column::Rx {
        if reading.dark_lane {
            row.flags |= flag::DARK_LANE;
        }
        row.spread = reading.spread.round().clamp(0.0, 30_000.0) as i16;
    }
}

/// Puts a value where it belongs; one outside what is physically possible is marked and left out.
fn put(row: &mut Row, column: Column, value: f64) {
    // Half away from zero, as `f64::round`, which is a call on machines without an instruction for it.
    let rounded = (value + 0.5_f64.copysign(value)) as i64 as f64;
    if !value.is_finite() || !column.possible().contains(&rounded) {
        row.flags |= flag::OUT_OF_RANGE;
        return;
    }
    match column {
        Column::Rx if rounded == 0.0 => row.flags |= flag::ZERO_RX,
        Column::Rx => row.rx = rounded as i16,
        Column::Tx => row.tx = rounded as i16,
        Column::PathLoss => row.loss = rounded as i16,
        Column::Pad => row.pad = rounded as i16,
        Column::Temperature => row.temperature = (value / 10.0).round() as i16,
        Column::Bias => row.bias = rounded as u16,
        Column::Onus => row.onus = (value / 100.0).round() as u16,
        Column::PathLength => row.path = rounded as u32,
        Column::JumperLength => row.flags |= flag::HAS_JUMPER,
        _ => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inventory::number::LevelUnit;

    #[test]
    fn the_short_way_agrees_with_the_long_one() {
        for cell in ["-7.9", "0.5", "12", "-0.05", "3.14", "-39.5", "7", "0.005"] {
            for quantity in [Quantity::Level(LevelUnit::Dbm), Quantity::Loss, Quantity::Length(1000.0)] {
                let long = read(cell, quantity);
                if let Some(short) = plain(cell.as_bytes(), quantity) {
                    approx::assert_abs_diff_eq!(short, long.value.unwrap_or(f64::NAN), epsilon = 1e-9);
                    assert!(long.turns.is_empty(), "{cell}");
                }
            }
        }
    }

    #[test]
    fn what_must_be_decided_takes_the_long_way() {
        for cell in ["-40", "-790", "-7,9", "-7.9 dBm", "", "-", "."] {
            let level = Quantity::Level(LevelUnit::Dbm);
            assert!(plain(cell.as_bytes(), level).is_none() || cell == ".", "{cell}");
        }
    }
}
