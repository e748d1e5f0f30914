//! What the ports of one card say together.

use std::sync::atomic::{AtomicU32, Ordering};

use rayon::prelude::*;

use super::claims::hit;
use crate::check::inventory_rules::facts::Hit;
use crate::check::inventory_rules::{hotter_than_siblings, identical_readings};
use crate::inventory::{Column, Inventory, Row, flag};

/// Ports that read the same before that is said.
const FEW: usize = 8;
/// Readings of a card of which a median is worth something.
const FEW_ON_A_CARD: usize = 4;
/// Tenths of a degree over the median of the card.
const HOTTER: i32 = 150;

/// A row of a card whose rows do not stand together: the card, and the row.
type Scattered = (u32, u32);

/// A port with its number.
type Port<'a> = (u32, &'a Row);

/// What the ports of one card say together.
pub fn cards(inventory: &Inventory) -> Vec<Hit> {
    let has = |column| inventory.columns.has(column);
    if !has(Column::Temperature) && !has(Column::Tx) {
        return Vec::new();
    }
    let counts = counts(inventory);
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    let one = |(first, rows): &(u32, &[Row])| {
        let (mut desk, mut scattered) = (Desk::default(), Vec::new());
        let mut index = *first;
        for run in rows.chunk_by(|a, b| a.card == b.card) {
            let card = run[0].card;
            if counts[card as usize] == run.len() as u32 {
                desk.judge(&(index..).zip(run).collect::<Vec<Port<'_>>>());
            } else {
                scattered.extend((index..).take(run.len()).map(|index| (card, index)));
            }
            index += run.len() as u32;
        }
        (desk.hits, scattered)
    };
    let parts: Vec<(Vec<Hit>, Vec<Scattered>)> = pieces.par_iter().map(one).collect();
    let (mut hits, mut scattered) = (Vec::new(), Vec::new());
    for (some, rest) in parts {
        hits.extend(some);
        scattered.extend(rest);
    }
    hits.extend(of_scattered(inventory, scattered));
    hits
}

/// Rows of each card.
fn counts(inventory: &Inventory) -> Vec<u32> {
    let counts: Vec<AtomicU32> = (0..inventory.cards.bound()).map(|_| AtomicU32::new(0)).collect();
    let pieces: Vec<(u32, &[Row])> = inventory.rows.pieces().collect();
    pieces.par_iter().for_each(|(_, rows)| {
        for run in rows.chunk_by(|a, b| a.card == b.card) {
            counts[run[0].card as usize].fetch_add(run.len() as u32, Ordering::Relaxed);
        }
    });
    counts.into_iter().map(AtomicU32::into_inner).collect()
}

/// Cards whose rows do not stand together.
fn of_scattered(inventory: &Inventory, mut rows: Vec<Scattered>) -> Vec<Hit> {
    rows.par_sort_unstable();
    let one = |mut desk: Desk, card: &[Scattered]| {
        let ports: Vec<Port<'_>> =
            card.iter().map(|(_, index)| (*index, inventory.rows.get(*index))).collect();
        desk.judge(&ports);
        desk
    };
    let desks = rows.par_chunk_by(|a, b| a.0 == b.0).fold(Desk::default, one);
    desks.flat_map_iter(|desk| desk.hits).collect()
}

/// Where one thread judges cards, one after the other.
#[derive(Default)]
struct Desk {
    hits: Vec<Hit>,
    temperatures: Vec<i16>,
    readings: Vec<u32>,
}

impl Desk {
    fn judge(&mut self, ports: &[Port<'_>]) {
        if ports.iter().any(|(_, row)| row.has(flag::MISPLACED)) {
            let sound = ports.iter().filter(|(_, row)| !row.has(flag::MISPLACED));
            return self.judge(&sound.copied().collect::<Vec<_>>());
        }
        if ports.len() >= FEW_ON_A_CARD {
            self.temperatures(ports);
        }
        if ports.len() >= FEW {
            self.readings(ports);
        }
    }

    fn temperatures(&mut self, ports: &[Port<'_>]) {
        let sorted = &mut self.temperatures;
        sorted.clear();
        sorted.extend(ports.iter().map(|(_, row)| row.temperature).filter(|t| *t != Row::NONE));
        let (Some(least), Some(most)) = (sorted.iter().min(), sorted.iter().max()) else { return };
        // The median is no less than the least.
        if sorted.len() < FEW_ON_A_CARD || i32::from(*most) <= i32::from(*least) + HOTTER {
            return;
        }
        let middle = sorted.len() / 2;
        let median = i32::from(*sorted.select_nth_unstable(middle).1);
        for (index, row) in ports {
            let temperature = i32::from(row.temperature);
            if row.temperature != Row::NONE && temperature > median + HOTTER {
                let detail = (temperature, median);
                self.hits.push(hit(&hotter_than_siblings::ENTRY, *index, Row::NO_ID, detail));
            }
        }
    }

    /// Eight ports or more that read the same are a stuck collector; said once for the card.
    fn readings(&mut self, ports: &[Port<'_>]) {
        self.readings.clear();
        self.readings.extend(ports.iter().filter_map(|(_, row)| reading(row)));
        self.readings.sort_unstable();
        for same in self.readings.chunk_by(|a, b| a == b).filter(|same| same.len() >= FEW) {
            let ports = ports.iter().filter(|(_, row)| reading(row) == Some(same[0]));
            // The least name stands for all, whatever the order of the rows.
            if let Some((first, _)) = ports.min_by_key(|(index, row)| (row.near, *index)) {
                let detail = (same.len() as i32, 0);
                self.hits.push(hit(&identical_readings::ENTRY, *first, Row::NO_ID, detail));
            }
        }
    }
}

/// Both levels of a port as one number.
fn reading(row: &Row) -> Option<u32> {
    let both = row.tx != Row::NONE && row.rx != Row::NONE;
    both.then_some(u32::from(row.tx as u16) << 16 | u32::from(row.rx as u16))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::inventory::{Card, ColumnSet};

    /// Two cards of eight ports; `order` says in which order the rows stand.
    fn inventory(order: impl Fn(u32) -> u32) -> Inventory {
        let mut columns = ColumnSet::default();
        columns.insert(Column::Temperature);
        let mut inventory = Inventory { columns, ..Inventory::default() };
        for list in &mut inventory.cards.lists_mut()[..2] {
            list.push(Card { site: 0, shelf: 1 });
        }
        let row = |n: u32| Row {
            near: u64::from(n) + 1,
            card: n / 8,
            temperature: if n == 3 { 600 } else { 400 },
            tx: -100,
            rx: if n < 8 { -300 } else { -300 - n as i16 },
            ..Row::EMPTY
        };
        let rows: Vec<Row> = (0..16).map(|n| row(order(n))).collect();
        inventory.rows.extend(&rows);
        inventory
    }

    #[test]
    fn cards_are_judged_whether_their_rows_stand_together_or_not() {
        for order in [|n| n, |n| n * 5 % 16] {
            let inventory = inventory(order);
            let found: Vec<(u64, i32)> = cards(&inventory)
                .iter()
                .map(|hit| (inventory.rows.get(hit.row).near, hit.detail.0))
                .collect();
            // Port 4 is 20 degrees hotter than its siblings; all eight of its card read the same.
            assert!(found.contains(&(4, 600)) && found.contains(&(1, 8)), "{found:?}");
            assert_eq!(found.len(), 2, "{found:?}");
        }
    }
}
