//! Breakouts: which parallel interface can be split into which others.

use super::{Row, Tables};

/// One parallel interface split into several of a smaller one, lane by lane.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Breakout {
    /// The interface that is split.
    pub parent: String,
    /// How many children it is split into.
    pub lanes: u16,
    /// The interface of each child.
    pub child: String,
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
}
