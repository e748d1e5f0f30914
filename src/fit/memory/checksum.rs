//! Check codes: the low eight bits of the sum of a run of bytes.

use super::bytes::View;

/// One check code of a memory.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Checksum {
    /// What its document calls it.
    pub name: &'static str,
    /// The first and last byte it covers, by the document's addresses.
    pub covers: (u8, u8),
    /// What the memory states.
    pub stored: u8,
    /// What its bytes add up to.
    pub computed: u8,
}

impl Checksum {
    /// Whether the bytes are as they were when the module was made.
    pub const fn is_right(&self) -> bool {
        self.stored == self.computed
    }

    /// Adds up bytes `covers` and compares with the byte after them; `None` where the block ends
    /// before.
    pub(super) fn of(view: View<'_>, name: &'static str, covers: (u8, u8)) -> Option<Self> {
        let (from, to) = (usize::from(covers.0), usize::from(covers.1));
        let stored = view.u8(to + 1)?;
        let computed = view.range(from, to)?.iter().fold(0u8, |sum, byte| sum.wrapping_add(*byte));
        Some(Self { name, covers, stored, computed })
    }
}
