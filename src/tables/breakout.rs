//! Breakouts: which parallel interface can be split into which others.

use super::{Row, Tables};
use crate::units::GigabitsPerSecond;

/// One parallel interface split into several of a smaller one, lane by lane.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Breakout {
    /// The interface that is split.
    pub parent: String,
    /// How many children it is split into.
    pub lanes: u16,
    /// The interface of each child.
    pub child: String,
    /// The interface whose levels and channel hold on each lane, at both ends: the child, where the
    /// lane of the parent is built as one. `None` = each end keeps the levels of its own row.
    pub levels: Option<String>,
}

impl Breakout {
    /// The name a row is found by.
    pub fn key(parent: &str, child: &str) -> String {
        format!("{parent} to {child}")
    }
}

impl Tables {
    /// How a parent is split into children, both by any name of their interfaces; `None` where the
    /// table does not know it. An interface whose lanes share fibers by wavelength cannot be split.
    pub fn breakout(&self, parent: &str, child: &str) -> Option<&Row<Breakout>> {
        let (parent, child) = (self.interfaces.get(parent)?, self.interfaces.get(child)?);
        self.breakouts.get(&Breakout::key(&parent.key, &child.key))
    }

    /// The breakout by which two interfaces face each other, whichever of them is the parent, and
    /// whether that is the first one.
    pub fn breakout_between(&self, a: &str, b: &str) -> Option<(&Row<Breakout>, bool)> {
        let first = self.breakout(a, b).map(|row| (row, true));
        first.or_else(|| self.breakout(b, a).map(|row| (row, false)))
    }

    /// The rates of the children that an interface can be split into.
    pub fn rates_of_children(&self, parent: &str) -> Vec<GigabitsPerSecond> {
        let Some(parent) = self.interfaces.get(parent) else { return Vec::new() };
        let rows = self.breakouts.rows().iter().filter(|row| row.value.parent == parent.key);
        rows.filter_map(|row| self.interfaces.get(&row.value.child)?.value.rate).collect()
    }

    /// What faces a lane of an interface, where nobody says: of several children the one that has a lane
    /// to itself; of a child its only parent. `None` where the table does not tell.
    pub fn breakout_partner(&self, interface: &str) -> Option<&str> {
        let own = &self.interfaces.get(interface)?.key;
        let rows = || self.breakouts.rows().iter().map(|row| &row.value);
        let children = rows().filter(|row| row.parent == *own);
        if let Some(most) = children.max_by_key(|row| row.lanes) {
            return Some(&most.child);
        }
        let mut parents = rows().filter(|row| row.child == *own);
        parents.next().filter(|_| parents.next().is_none()).map(|row| row.parent.as_str())
    }
}
