//! The bytes of a module's memory by block, with checked access.

/// Bytes in a block: the unit in which every map is laid out.
pub const BLOCK_BYTES: usize = 128;

/// Which 128 bytes of a module.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Block {
    /// Bytes 0 to 127: of address A0h in SFF-8472, the lower memory elsewhere.
    Lower,
    /// Bytes 128 to 255 with this page selected; page 00h in SFF-8472 (address A0h).
    Upper(u8),
    /// Bytes 0 to 127 of address A2h (SFF-8472).
    SecondLower,
    /// Bytes 128 to 255 of address A2h with this page selected (SFF-8472).
    SecondUpper(u8),
}

impl std::fmt::Display for Block {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Lower => write!(f, "lower memory"),
            Self::Upper(page) => write!(f, "page {page:02X}h"),
            Self::SecondLower => write!(f, "A2h, bytes 0 to 127"),
            Self::SecondUpper(page) => write!(f, "A2h, page {page:02X}h"),
        }
    }
}

/// How the blocks of an image got their names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Naming {
    /// The dump names them.
    Stated,
    /// The dump does not; the map leaves no other order.
    Certain,
    /// The dump does not, and other pages could stand there; the usual order was taken.
    Usual,
}

/// The bytes of a module's memory, block by block. The last block may be short.
#[derive(Debug, Clone, PartialEq)]
pub struct Image {
    blocks: Vec<(Block, Vec<u8>)>,
    /// How the blocks got their names.
    pub naming: Naming,
    /// Bytes that stand in no block that is known.
    pub left_over: usize,
}

impl Image {
    /// An image of named blocks; a block that is named twice keeps its first bytes.
    pub fn of_blocks(blocks: Vec<(Block, Vec<u8>)>) -> Self {
        let mut image = Self { blocks: Vec::new(), naming: Naming::Stated, left_over: 0 };
        for (name, bytes) in blocks {
            if image.block(name).is_some() {
                image.left_over += bytes.len();
            } else {
                image.blocks.push((name, bytes));
            }
        }
        image
    }

    /// An image of bytes whose blocks are named by `order`, one after the other.
    pub fn in_order(bytes: &[u8], order: &[Block], naming: Naming) -> Self {
        let blocks: Vec<_> =
            order.iter().copied().zip(bytes.chunks(BLOCK_BYTES).map(<[u8]>::to_vec)).collect();
        let used: usize = blocks.iter().map(|(_, bytes)| bytes.len()).sum();
        Self { blocks, naming, left_over: bytes.len() - used }
    }

    /// The blocks in the order of the dump.
    pub fn blocks(&self) -> impl Iterator<Item = Block> + '_ {
        self.blocks.iter().map(|(name, _)| *name)
    }

    /// All bytes in the order of the dump.
    pub fn bytes(&self) -> impl Iterator<Item = u8> + '_ {
        self.blocks.iter().flat_map(|(_, bytes)| bytes.iter().copied())
    }

    /// Bytes missing in the last block.
    pub fn missing(&self) -> usize {
        self.blocks.last().map_or(0, |(_, bytes)| BLOCK_BYTES.saturating_sub(bytes.len()))
    }

    /// One block.
    pub(super) fn block(&self, name: Block) -> Option<View<'_>> {
        let (_, bytes) = self.blocks.iter().find(|(block, _)| *block == name)?;
        let base = match name {
            Block::Lower | Block::SecondLower => 0,
            Block::Upper(_) | Block::SecondUpper(_) => BLOCK_BYTES,
        };
        Some(View { bytes, base })
    }
}

/// One block, read by the addresses of its document: 0 to 127, or 128 to 255 for a page. Numbers
/// of several bytes have the high byte first, in every map.
#[derive(Debug, Clone, Copy)]
pub(super) struct View<'i> {
    bytes: &'i [u8],
    base: usize,
}

impl<'i> View<'i> {
    pub fn u8(self, at: usize) -> Option<u8> {
        self.bytes.get(at.checked_sub(self.base)?).copied()
    }

    pub fn bit(self, at: usize, bit: u8) -> Option<bool> {
        self.u8(at).map(|byte| byte >> bit & 1 == 1)
    }

    /// Bytes `from` to `to`, both included.
    pub fn range(self, from: usize, to: usize) -> Option<&'i [u8]> {
        self.bytes.get(from.checked_sub(self.base)?..=to.checked_sub(self.base)?)
    }

    fn array<const N: usize>(self, at: usize) -> Option<[u8; N]> {
        self.range(at, at + N - 1)?.try_into().ok()
    }

    pub fn u16(self, at: usize) -> Option<u16> {
        self.array(at).map(u16::from_be_bytes)
    }

    pub fn i16(self, at: usize) -> Option<i16> {
        self.array(at).map(i16::from_be_bytes)
    }

    pub fn u32(self, at: usize) -> Option<u32> {
        self.array(at).map(u32::from_be_bytes)
    }

    pub fn f32(self, at: usize) -> Option<f32> {
        self.array(at).map(f32::from_be_bytes)
    }

    /// Whether nothing was ever written or read here: all bytes 00h, or all FFh.
    pub fn is_blank(self) -> bool {
        is_blank(self.bytes.iter().copied())
    }
}

/// Whether all bytes are 00h, or all are FFh: what a module that did not answer gives.
pub(super) fn is_blank(mut bytes: impl Iterator<Item = u8>) -> bool {
    let Some(first) = bytes.next() else { return true };
    matches!(first, 0x00 | 0xFF) && bytes.all(|byte| byte == first)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_are_those_of_the_documents() {
        let bytes: Vec<u8> = (0..=255).chain([7]).collect();
        let order = [Block::Lower, Block::Upper(0)];
        let image = Image::in_order(&bytes, &order, Naming::Certain);
        let lower = image.block(Block::Lower).expect("there");
        let upper = image.block(Block::Upper(0)).expect("there");
        assert_eq!((lower.u8(127), lower.u8(128)), (Some(127), None));
        assert_eq!((upper.u8(127), upper.u8(128), upper.u16(254)), (None, Some(128), Some(0xFEFF)));
        assert_eq!(upper.u16(255), None);
        assert_eq!((image.left_over, image.missing()), (1, 0));
        assert!(image.block(Block::Upper(1)).is_none());
    }
}
