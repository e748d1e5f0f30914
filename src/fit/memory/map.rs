//! Which map a memory is laid out by, and in which order its blocks usually stand in a dump.

use super::bytes::{BLOCK_BYTES, Block, Image, Naming};

/// How a module's memory is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Map {
    /// SFF-8472: GBIC, SFP, SFP+, SFP28; two addresses, A0h and A2h.
    Sff8472,
    /// SFF-8636: QSFP+, QSFP28; lower memory and pages.
    Sff8636,
    /// CMIS: QSFP-DD, OSFP and later ones; lower memory and pages.
    Cmis,
}

impl Map {
    /// The map of an identifier (byte 0); `None` for one whose map is not known here.
    pub const fn of(identifier: u8) -> Option<Self> {
        match identifier {
            0x01..=0x03 | 0x0B => Some(Self::Sff8472),
            0x0C | 0x0D | 0x11 => Some(Self::Sff8636),
            0x18 | 0x19 | 0x1E | 0x1F | 0x20 | 0x21 => Some(Self::Cmis),
            _ => None,
        }
    }

    /// Its document.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Sff8472 => "SFF-8472",
            Self::Sff8636 => "SFF-8636",
            Self::Cmis => "CMIS",
        }
    }

    /// The block and the last byte in it without which the module is not identified.
    pub(super) const fn least(self) -> (Block, usize) {
        match self {
            Self::Sff8472 => (Block::Lower, 95),
            Self::Sff8636 => (Block::Upper(0), 223),
            Self::Cmis => (Block::Upper(0), 222),
        }
    }

    /// The usual order of a dump of so many blocks that does not name them.
    fn order(self, blocks: usize) -> (&'static [Block], Naming) {
        use Block::{Lower, SecondLower, SecondUpper, Upper};
        match (self, blocks) {
            (Self::Sff8472, _) => (&[Lower, Upper(0), SecondLower, SecondUpper(0)], Naming::Certain),
            (_, 0..=2) => (&[Lower, Upper(0)], Naming::Certain),
            (Self::Sff8636, 5) => (&[Lower, Upper(0), Upper(1), Upper(2), Upper(3)], Naming::Usual),
            // Which pages three or four blocks are is anybody's choice.
            (Self::Sff8636, _) => (&[Lower, Upper(0)], Naming::Usual),
            (Self::Cmis, 3 | 4) => (&[Lower, Upper(0), Upper(1), Upper(2)], Naming::Usual),
            (Self::Cmis, 5) => (&[Lower, Upper(0), Upper(1), Upper(2), Upper(0x11)], Naming::Usual),
            (Self::Cmis, _) => {
                (&[Lower, Upper(0), Upper(1), Upper(2), Upper(0x10), Upper(0x11)], Naming::Usual)
            }
        }
    }
}

impl Image {
    /// An image of bytes whose blocks the dump does not name: they are named in the usual order of
    /// the map that byte 0 tells. Bytes for which there is no usual place are counted as left over.
    pub fn in_usual_order(bytes: &[u8]) -> Self {
        let map = bytes.first().and_then(|byte| Map::of(*byte)).unwrap_or(Map::Sff8472);
        let (order, naming) = map.order(bytes.len().div_ceil(BLOCK_BYTES));
        Self::in_order(bytes, order, naming)
    }
}
