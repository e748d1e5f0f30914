//! What the rows of all chunks share: profiles, sites, cards. A chunk looks things up in what earlier
//! chunks left and collects what is new; afterwards the new things are numbered in the order of the
//! chunks, so that numbers do not depend on the threads.

use std::sync::atomic::{AtomicU32, Ordering};

use rayon::prelude::*;
use rustc_hash::FxHashMap;

use crate::inventory::{Card, Cards, Inventory, Profile, Row, Site};
use crate::tables::Tables;

/// Set in an id that is local to a chunk.
const LOCAL: u32 = 1 << 31;
/// Spellings of a site that are kept.
const SPELLINGS: usize = 12;

/// What earlier chunks left.
#[derive(Debug, Default)]
pub(super) struct Shared {
    /// Profile by hash of the raw words.
    profiles: FxHashMap<u64, u32>,
    /// Profile by the words.
    by_words: FxHashMap<Box<str>, u32>,
    /// Site and hash of its normal form, by hash of the raw cell.
    sites: FxHashMap<u64, (u32, u64)>,
    /// Site by hash of its normal form.
    by_site: FxHashMap<u64, u32>,
    /// Card by hash of its normal form; each map with the list of the inventory's cards that it fills.
    cards: [FxHashMap<u64, u32>; Cards::LISTS],
}

/// The list in which a card stands.
fn list_of(card: u64) -> usize {
    (card >> 40) as usize % Cards::LISTS
}

/// A site that is new in a chunk.
#[derive(Debug)]
struct NewSite {
    raw: u64,
    normal: u64,
    spelling: String,
    covered: bool,
}

/// What is new in a chunk.
#[derive(Debug, Default)]
pub(super) struct Local {
    profiles: FxHashMap<u64, u32>,
    new_profiles: Vec<(u64, Vec<String>)>,
    sites: FxHashMap<u64, (u32, u64)>,
    new_sites: Vec<NewSite>,
    cards: FxHashMap<u64, u32>,
    new_cards: Vec<(u64, Card)>,
}

impl Local {
    /// The profile of a hash of raw words; `words` is asked when it is new.
    pub(super) fn profile(
        &mut self,
        shared: &Shared,
        raw: u64,
        words: impl FnOnce() -> Vec<String>,
    ) -> u32 {
        if let Some(id) = shared.profiles.get(&raw).or_else(|| self.profiles.get(&raw)) {
            return *id;
        }
        let id = LOCAL | self.new_profiles.len() as u32;
        self.new_profiles.push((raw, words()));
        self.profiles.insert(raw, id);
        id
    }

    /// A site's id and the hash of its normal form, by the hash of its cell; `make` gives normal
    /// hash and spelling when it is new. `covered` when a port stands there.
    pub(super) fn site(
        &mut self,
        shared: &Shared,
        raw: u64,
        covered: bool,
        make: impl FnOnce() -> (u64, String),
    ) -> (u32, u64) {
        // Near and far cells are kept apart, since only near ones say that a site is covered.
        let raw = if covered { raw } else { raw ^ 0x5555_5555 };
        if let Some(found) = shared.sites.get(&raw).or_else(|| self.sites.get(&raw)) {
            return *found;
        }
        let (normal, spelling) = make();
        let found = (LOCAL | self.new_sites.len() as u32, normal);
        self.new_sites.push(NewSite { raw, normal, spelling, covered });
        self.sites.insert(raw, found);
        found
    }

    /// The card of a hash; its site may be local.
    pub(super) fn card(&mut self, shared: &Shared, hash: u64, card: Card) -> u32 {
        let known = &shared.cards[list_of(hash)];
        if let Some(id) = known.get(&hash).or_else(|| self.cards.get(&hash)) {
            return *id;
        }
        let id = LOCAL | self.new_cards.len() as u32;
        self.new_cards.push((hash, card));
        self.cards.insert(hash, id);
        id
    }
}

/// The final ids of a chunk's local ones.
#[derive(Debug, Default)]
pub(super) struct Renumber {
    profiles: Vec<u32>,
    sites: Vec<u32>,
    cards: Vec<AtomicU32>,
}

impl Renumber {
    /// A row with its final ids.
    pub(super) fn apply(&self, row: Row) -> Row {
        Row {
            profile: resolve(row.profile, &self.profiles),
            card: match place(row.card, self.cards.len()) {
                Some(place) => self.cards[place].load(Ordering::Relaxed),
                None => row.card,
            },
            far_site: resolve(row.far_site, &self.sites),
            ..row
        }
    }
}

fn resolve(id: u32, table: &[u32]) -> u32 {
    place(id, table.len()).map_or(id, |place| table[place])
}

/// The place of a local id in a table of so many.
fn place(id: u32, length: usize) -> Option<usize> {
    let place = (id & !LOCAL) as usize;
    (id != Row::NO_ID && id & LOCAL != 0 && place < length).then_some(place)
}

impl Shared {
    /// Numbers what is new in some chunks, in their order.
    pub(super) fn take(
        &mut self,
        locals: Vec<Local>,
        inventory: &mut Inventory,
        tables: &Tables,
    ) -> Vec<Renumber> {
        let mut new_cards = Vec::with_capacity(locals.len());
        let mut renumbers = Vec::with_capacity(locals.len());
        for mut local in locals {
            let cards = std::mem::take(&mut local.new_cards);
            let mut renumber = self.take_words(local, inventory, tables);
            renumber.cards = cards.iter().map(|_| AtomicU32::new(Row::NO_ID)).collect();
            renumbers.push(renumber);
            new_cards.push(cards);
        }
        self.take_cards(&new_cards, &renumbers, &mut inventory.cards);
        renumbers
    }

    /// Numbers new cards on all cores: each list gets its own.
    fn take_cards(&mut self, new: &[Vec<(u64, Card)>], renumbers: &[Renumber], cards: &mut Cards) {
        let lists = self.cards.par_iter_mut().zip(cards.lists_mut()).enumerate();
        lists.for_each(|(list, (known, cards))| {
            for (part, renumber) in new.iter().zip(renumbers) {
                for ((hash, card), number) in part.iter().zip(&renumber.cards) {
                    if list_of(*hash) != list {
                        continue;
                    }
                    let id = *known.entry(*hash).or_insert_with(|| {
                        let site = resolve(card.site, &renumber.sites);
                        cards.push(Card { site, ..*card });
                        Cards::id(list, cards.len() - 1)
                    });
                    number.store(id, Ordering::Relaxed);
                }
            }
        });
    }

    fn take_words(&mut self, local: Local, inventory: &mut Inventory, tables: &Tables) -> Renumber {
        let mut renumber = Renumber::default();
        for (raw, words) in local.new_profiles {
            let id = self.number_profile(&words, inventory, tables);
            self.profiles.insert(raw, id);
            renumber.profiles.push(id);
        }
        for site in local.new_sites {
            let id = *self.by_site.entry(site.normal).or_insert_with(|| {
                let name = Box::from(site.spelling.as_str());
                inventory.sites.push(Site {
                    hash: site.normal,
                    name,
                    spellings: Vec::new(),
                    covered: false,
                });
                inventory.sites.len() as u32 - 1
            });
            let known = &mut inventory.sites[id as usize];
            if site.covered && !known.covered {
                known.name = Box::from(site.spelling.as_str());
            }
            known.covered |= site.covered;
            let new = !known.spellings.iter().any(|s| **s == *site.spelling);
            if new && known.spellings.len() < SPELLINGS {
                known.spellings.push(Box::from(site.spelling.as_str()));
            }
            self.sites.insert(site.raw, (id, site.normal));
            renumber.sites.push(id);
        }
        renumber
    }

    fn number_profile(&mut self, words: &[String], inventory: &mut Inventory, tables: &Tables) -> u32 {
        let joined = words.join("\u{1f}");
        if let Some(id) = self.by_words.get(joined.as_str()) {
            return *id;
        }
        let refs: Vec<&str> = words.iter().map(String::as_str).collect();
        inventory.profiles.push(Profile::read(&refs, tables));
        let id = inventory.profiles.len() as u32 - 1;
        self.by_words.insert(joined.into(), id);
        id
    }
}
