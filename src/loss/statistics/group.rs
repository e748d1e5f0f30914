//! What is alike in a [`YieldTree`]: equal ends and equal subtrees of a fork are computed once.

use super::tree::YieldTree;
use rustc_hash::FxHashMap;
use std::hash::Hash;

/// For each branch, what leaves it: positions in the tree, each with the number of its likes.
pub(super) struct Groups {
    pub(super) ends: Vec<Vec<(usize, u32)>>,
    pub(super) branches: Vec<Vec<(usize, u32)>>,
    /// Whether a branch stands for itself, not for being like another.
    pub(super) needed: Vec<bool>,
}

impl Groups {
    pub(super) fn of(tree: &YieldTree) -> Self {
        let mut ends = vec![Vec::new(); tree.branches.len()];
        let mut contents = Contents::default();
        for (at, end) in tree.ends.iter().enumerate() {
            let (least, most) = end.window.limits();
            ends[end.parent].push((contents.id((&end.segment, least.to_bits(), most.to_bits())), at));
        }
        let ends: Vec<Alike> = ends.into_iter().map(Alike::of).collect();
        let mut branches: Vec<Vec<(usize, usize)>> = vec![Vec::new(); tree.branches.len()];
        let mut alike: Vec<Alike> = Vec::with_capacity(tree.branches.len());
        let mut contents = Contents::default();
        for at in (0..tree.branches.len()).rev() {
            let children = Alike::of(std::mem::take(&mut branches[at]));
            if at > 0 {
                let branch = &tree.branches[at];
                let id =
                    contents.id((&branch.segment, ends[at].contents.clone(), children.contents.clone()));
                branches[branch.parent].push((id, at));
            }
            alike.push(children);
        }
        alike.reverse();
        let mut needed = vec![false; tree.branches.len()];
        needed[0] = true;
        for at in 0..alike.len() {
            if needed[at] {
                alike[at].members.iter().for_each(|(child, _)| needed[*child] = true);
            }
        }
        Self {
            ends: ends.into_iter().map(|group| group.members).collect(),
            branches: alike.into_iter().map(|group| group.members).collect(),
            needed,
        }
    }
}

/// Numbers contents in the order met.
struct Contents<T>(FxHashMap<T, usize>);

impl<T> Default for Contents<T> {
    fn default() -> Self {
        Self(FxHashMap::default())
    }
}

impl<T: Hash + Eq> Contents<T> {
    fn id(&mut self, content: T) -> usize {
        let next = self.0.len();
        *self.0.entry(content).or_insert(next)
    }
}

/// Members of one fork, the alike ones together.
struct Alike {
    /// Contents with their numbers, in order: what makes two forks alike.
    contents: Vec<(usize, u32)>,
    /// One member of each content, with the number of its likes.
    members: Vec<(usize, u32)>,
}

impl Alike {
    /// From contents and members.
    fn of(mut found: Vec<(usize, usize)>) -> Self {
        found.sort_unstable();
        let groups: Vec<_> =
            found.chunk_by(|a, b| a.0 == b.0).map(|chunk| (chunk[0], chunk.len() as u32)).collect();
        Self {
            contents: groups.iter().map(|((content, _), count)| (*content, *count)).collect(),
            members: groups.iter().map(|((_, member), count)| (*member, *count)).collect(),
        }
    }
}
