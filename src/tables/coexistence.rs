//! Which systems can share a feeder, and by what.

use super::{Row, Tables};

/// Two systems on one fiber.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Coexistence {
    /// The two systems, as PON classes name them, or `RF video`, `OTDR`.
    pub systems: [String; 2],
    /// Whether their wavelengths are apart, so that filters can part them.
    pub possible: bool,
    /// What is needed at the office, or what serves instead where filters cannot part them.
    pub element: String,
    /// The reason, in words.
    pub why: String,
}

impl Coexistence {
    /// The name a row is found by.
    pub fn key(a: &str, b: &str) -> String {
        format!("{a} with {b}")
    }
}

impl Tables {
    /// What the table says of two systems, named in either order; `None` = not known.
    pub fn coexistence(&self, a: &str, b: &str) -> Option<&Row<Coexistence>> {
        let row = |a, b| self.coexistences.get(&Coexistence::key(a, b));
        row(a.trim(), b.trim()).or_else(|| row(b.trim(), a.trim()))
    }
}
