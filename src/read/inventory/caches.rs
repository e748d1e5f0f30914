//! What the rows of all chunks share: profiles, sites, cards. A chunk looks things up in what earlier
//! chunks left and collects what is new; afterwards the new things are numbered in the order of the
//! chunks, so that numbers do not depend on the threads.

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
    /// By the list that they belong to.
    new_cards: [Vec<(u64, Card)>; Cards::LISTS],
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
        let list = list_of(hash);
        if let Some(id) = shared.cards[list].get(&hash).or_else(|| self.cards.get(&hash)) {
            return *id;
        }
        let id = LOCAL | Cards::id(list, self.new_cards[list].len());
        self.new_cards[list].push((hash, card));
        self.cards.insert(hash, id);
        id
    }
}

/// The final ids of a chunk's local ones.
#[derive(Debug, Default)]
pub(super) struct Renumber {
    profiles: Vec<u32>,
    sites: Vec<u32>,
    /// By list, as [`Local::new_cards`].
    cards: [Vec<u32>; Cards::LISTS],
}

impl Renumber {
    /// A row with its final ids.
    pub(super) fn apply(&self, row: Row) -> Row {
        Row {
            profile: resolve(row.profile, &self.profiles),
            card: self.card(row.card),
            far_site: resolve(row.far_site, &self.sites),
            ..row
        }
    }

    fn card(&self, id: u32) -> u32 {
        if id == Row::NO_ID || id & LOCAL == 0 {
            return id;
        }
        let (list, place) = Cards::place(id & !LOCAL);
        self.cards[list].get(place).copied().unwrap_or(Row::NO_ID)
    }
}

fn resolve(id: u32, table: &[u32]) -> u32 {
    if id == Row::NO_ID || id & LOCAL == 0 {
        return id;
    }
    table.get((id & !LOCAL) as usize).copied().unwrap_or(Row::NO_ID)
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
            new_cards.push(std::mem::take(&mut local.new_cards));
            renumbers.push(self.take_words(local, inventory, tables));
        }
        let by_list = self.take_cards(&new_cards, &renumbers, &mut inventory.cards);
        for (list, parts) in by_list.into_iter().enumerate() {
            for (renumber, ids) in renumbers.iter_mut().zip(parts) {
                renumber.cards[list] = ids;
            }
        }
        renumbers
    }

    /// Numbers new cards on all cores, each list for itself; gives the ids by list, then part.
    fn take_cards(
        &mut self,
        new: &[[Vec<(u64, Card)>; Cards::LISTS]],
        renumbers: &[Renumber],
        cards: &mut Cards,
    ) -> Vec<Vec<Vec<u32>>> {
        let lists = self.cards.par_iter_mut().zip(cards.lists_mut()).enumerate();
        let of_list = |(list, (known, cards)): (usize, (&mut FxHashMap<u64, u32>, &mut Vec<Card>))| {
            let mut number = |(hash, card): &(u64, Card), renumber: &Renumber| {
                *known.entry(*hash).or_insert_with(|| {
                    cards.push(Card { site: resolve(card.site, &renumber.sites), ..*card });
                    Cards::id(list, cards.len() - 1)
                })
            };
            let parts = new.iter().zip(renumbers);
            parts.map(|(part, r)| part[list].iter().map(|card| number(card, r)).collect()).collect()
        };
        lists.map(of_list).collect()
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
