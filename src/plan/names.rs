//! The ids of a plan, stored once.

use std::collections::hash_map::Entry;
use std::hash::{BuildHasher, Hasher};

use foldhash::fast::RandomState;
use rustc_hash::FxHashMap;

/// An id's place in [`Names`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Default)]
pub struct NameId(pub u32);

/// Every id of a plan in one buffer: a million ids cost a few bytes each beside their text.
///
/// Names come from files that anybody may have written, so the hash is seeded at random; equal
/// hashes are told apart by the text itself.
#[derive(Debug, Clone, Default)]
pub struct Names {
    text: String,
    ends: Vec<u32>,
    by_hash: FxHashMap<u64, NameId>,
    /// Names whose hash another name already has; empty in practice.
    collided: Vec<NameId>,
    hasher: RandomState,
}

impl Names {
    /// The id of a name, added if new.
    pub fn intern(&mut self, name: &str) -> NameId {
        let id = NameId(self.ends.len() as u32);
        let hash = self.hash(name);
        match self.by_hash.entry(hash) {
            Entry::Occupied(_) => {
                if let Some(known) = self.find(name) {
                    return known;
                }
                self.collided.push(id);
            }
            Entry::Vacant(place) => {
                place.insert(id);
            }
        }
        self.text.push_str(name);
        self.ends.push(self.text.len() as u32);
        id
    }

    /// Makes room for names to come, so that a million of them do not move house on the way.
    pub fn reserve(&mut self, names: usize, bytes: usize) {
        self.text.reserve(bytes);
        self.ends.reserve(names);
        self.by_hash.reserve(names);
    }

    /// The id of a known name.
    pub fn find(&self, name: &str) -> Option<NameId> {
        let first = *self.by_hash.get(&self.hash(name))?;
        if self.get(first) == name {
            return Some(first);
        }
        self.collided.iter().copied().find(|id| self.get(*id) == name)
    }

    /// The text of an id.
    pub fn get(&self, id: NameId) -> &str {
        let index = id.0 as usize;
        let start = index.checked_sub(1).map_or(0, |before| self.ends[before]);
        &self.text[start as usize..self.ends[index] as usize]
    }

    /// How many names there are.
    pub fn len(&self) -> usize {
        self.ends.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.ends.is_empty()
    }

    /// All names in the order they came.
    pub fn iter(&self) -> impl Iterator<Item = &str> {
        (0..self.ends.len()).map(|index| self.get(NameId(index as u32)))
    }

    fn hash(&self, name: &str) -> u64 {
        let mut hasher = self.hasher.build_hasher();
        hasher.write(name.as_bytes());
        hasher.finish()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_keeps_its_id() {
        let mut names = Names::default();
        let a = names.intern("home-001");
        let b = names.intern("home-002");
        assert_ne!(a, b);
        assert_eq!(names.intern("home-001"), a);
        assert_eq!(names.get(b), "home-002");
        assert_eq!(names.find("home-003"), None);
        assert_eq!(names.len(), 2);
    }
}
