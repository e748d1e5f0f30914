//! One record becomes one row.

use std::hash::{BuildHasher, Hasher};

use super::caches::{Local, Shared};
use super::fields::Cells;
use super::figure::{marks, plain, put};
use super::layout::Layout;
use super::map::ColumnMap;
use crate::inventory::print::{Salt, print};
use crate::inventory::{
    Candidates, Card, Column, Row, Turn, Turns, blank, damage, date, far_end, flag, name, note,
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
            if cells.len() > self.layout.heads.len() {
                row.flags |= flag::SURPLUS;
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
        let slot = cell(Column::Slot);
        let known = self.last.of(site, shelf, slot);
        let said = |cell: &'_ [u8]| if says_nothing(cell) { 0 } else { cell.len() };
        let site = &site[..if known.is_some() { site.len() } else { said(site) }];
        let port = cell(Column::Port);
        let port = &port[..said(port)];
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
                let print = if buffer.is_empty() {
                    0
                } else {
                    (name::port_key(site_hash, name::hash(&buffer)) >> 32).max(1) as u32
                };
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
            match self.far_of_one_cell(said(Column::FarEnd), row) {
                Some(parts) => (site, port) = parts,
                None => return,
            }
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
        let own = |column| if layout.has(column) { said(column) } else { b"" };
        let (shelf, slot) = (own(Column::FarShelf), own(Column::FarSlot));
        name::push_own_port(shelf, slot, port, &mut buffer);
        row.far = name::port_key(hash, name::hash(&buffer));
        self.buffer = buffer;
    }

    /// Site and port of a far end that stands in one cell; `None` where it names none, or two.
    fn far_of_one_cell<'a>(&mut self, end: &'a [u8], row: &mut Row) -> Option<(&'a [u8], &'a [u8])> {
        if end.is_empty() {
            return None;
        }
        row.flags |= flag::FAR_WRITTEN;
        let written = str::from_utf8(end).ok();
        if written.is_some_and(far_end::are_two) {
            row.flags |= flag::TWO_FARS;
            return None;
        }
        let Some((site, port)) = written.and_then(far_end::part) else {
            row.flags |= flag::FAR_UNCLEAR;
            return None;
        };
        self.turn(Column::FarEnd, Turn::PartedFarEnd, end);
        Some((site.as_bytes(), port.as_bytes()))
    }

    fn profile(&mut self, cells: Cells<'_>) -> u32 {
        let mut hasher = self.layout.words_state.build_hasher();
        for (first, last) in &self.layout.word_runs {
            let (first, last) = (*first as usize, (*last as usize).min(cells.len() - 1));
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
            let word = |at: &u32| super::header::text(cells.cell(*at as usize));
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
                if matches!(column, Column::FramePort | Column::Strand | Column::Jumper) {
                    // What it names cannot be told, but something is plugged.
                    row.flags |= flag::HAS_JUMPER;
                }
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
        for (column, at, measure) in &layout.numbers {
            let cell = cells.cell(*at as usize);
            if cell.is_empty() {
                continue;
            }
            if let Some(hundredths) = plain(cell, measure.quantity).filter(|_| measure.is_usual()) {
                put(row, *column, hundredths);
                continue;
            }
            let reading = measure.read(&super::header::text(cell));
            bad += u32::from(reading.bad);
            alien += u32::from(reading.alien);
            for turn in &reading.turns {
                let raw = cells.cell(*at as usize).to_vec();
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
    if slot.is_empty() {
        // The card is what stands before the last number of the port: `1/3` of `1/3/7`.
        buffer.truncate(buffer.iter().rposition(|b| *b == b'/').unwrap_or(0));
    } else {
        buffer.clear();
        name::push_port(slot, buffer);
    }
    buffer.push(b'|');
    name::push_port(shelf, buffer);
    name::port_key(site, name::hash(buffer))
}
