//! Memories made for the tests: published layouts, invented modules.

use spanwright::check::{Finding, memory_rules};
use spanwright::fit::memory::{Block, Image, Memory, NoMemory, decode, suggest_interface};
use spanwright::place::FileId;
use spanwright::read::dump;
use spanwright::read::tables::built_in;
use spanwright::tables::Tables;
use std::sync::LazyLock;

pub static TABLES: LazyLock<std::sync::Arc<Tables>> = LazyLock::new(built_in);

/// A dump of the folder beside this file.
pub fn dump_text(name: &str) -> String {
    let path = format!("{}/tests/module_memory/dumps/{name}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).expect(&path)
}

/// The bytes of a plain hex text.
pub fn plain_bytes(text: &str) -> Vec<u8> {
    text.split_whitespace().map(|byte| u8::from_str_radix(byte, 16).expect("hex")).collect()
}

/// The two addresses of the invented 10GBASE-LR module.
pub fn lr() -> ([u8; 256], [u8; 256]) {
    let bytes = plain_bytes(&dump_text("sfpp_10gbase_lr.hex"));
    (bytes[..256].try_into().expect("A0h"), bytes[256..].try_into().expect("A2h"))
}

/// The same for external calibration: SFF-8472, constants and raw readings of a worked example
/// (an invented 10GBASE-ER module; results computed apart with general-purpose arithmetic).
pub fn external() -> ([u8; 256], [u8; 256]) {
    let (mut a0, mut a2) = lr();
    a0[3] = 0x80;
    a0[14..16].copy_from_slice(&[40, 255]);
    put16(&mut a0, 60, 1550);
    a0[64] = 0x02;
    a0[92] = 0x58;
    a0[93] = 0;
    let coefficients: [f32; 5] = [0.0, 0.0, 1e-6, 0.30, 2.0];
    for (index, coefficient) in coefficients.iter().enumerate() {
        a2[56 + 4 * index..60 + 4 * index].copy_from_slice(&coefficient.to_be_bytes());
    }
    // Slope and offset of bias, transmitted light, temperature, voltage.
    let lines: [(u16, i16); 4] = [(288, -20), (240, 15), (256, -512), (257, 0)];
    for (index, (slope, offset)) in lines.into_iter().enumerate() {
        put16(&mut a2, 76 + 4 * index, slope);
        put16(&mut a2, 78 + 4 * index, offset.cast_unsigned());
    }
    for (at, raw) in [(96, 12_800), (98, 32_700), (100, 20_000), (102, 15_000), (104, 2_500)] {
        put16(&mut a2, at, raw);
    }
    let thresholds: [[i16; 4]; 4] = [[90 * 256, -10 * 256, 80 * 256, 0], [0; 4], [0; 4], [0; 4]];
    for (index, four) in thresholds.into_iter().enumerate() {
        for (place, raw) in four.into_iter().enumerate() {
            put16(&mut a2, 8 * index + 2 * place, raw.cast_unsigned());
        }
    }
    put_limits(&mut a2, 8, [36_000, 28_000, 34_000, 30_000]);
    put_limits(&mut a2, 16, [42_000, 2_000, 40_000, 4_000]);
    put_limits(&mut a2, 24, [20_000, 1_000, 18_000, 2_000]);
    put_limits(&mut a2, 32, [30_000, 100, 25_000, 200]);
    seal_sfp(&mut a0, &mut a2);
    (a0, a2)
}

/// Four thresholds: high alarm, low alarm, high warning, low warning.
pub fn put_limits(block: &mut [u8], at: usize, limits: [u16; 4]) {
    for (index, raw) in limits.into_iter().enumerate() {
        put16(block, at + 2 * index, raw);
    }
}

pub fn put16(block: &mut [u8], at: usize, value: u16) {
    block[at..at + 2].copy_from_slice(&value.to_be_bytes());
}

/// Text in a field, padded with blanks.
pub fn put_text(block: &mut [u8], at: usize, length: usize, text: &str) {
    block[at..at + length].fill(b' ');
    block[at..at + text.len()].copy_from_slice(text.as_bytes());
}

fn sum(bytes: &[u8]) -> u8 {
    (bytes.iter().map(|byte| u32::from(*byte)).sum::<u32>() % 256) as u8
}

/// Sets CC_BASE, CC_EXT and CC_DMI.
pub fn seal_sfp(a0: &mut [u8; 256], a2: &mut [u8; 256]) {
    a0[63] = sum(&a0[..63]);
    a0[95] = sum(&a0[64..95]);
    a2[95] = sum(&a2[..95]);
}

/// A memory of pages, each 128 bytes, addressed as in its document.
#[derive(Clone)]
pub struct Paged {
    pub lower: [u8; 128],
    pages: Vec<(u8, [u8; 256])>,
}

impl Paged {
    pub fn new() -> Self {
        Self { lower: [0; 128], pages: Vec::new() }
    }

    /// A page; its bytes are addressed from 128.
    pub fn page(&mut self, number: u8) -> &mut [u8; 256] {
        if let Some(at) = self.pages.iter().position(|(known, _)| *known == number) {
            return &mut self.pages[at].1;
        }
        self.pages.push((number, [0; 256]));
        &mut self.pages.last_mut().expect("just added").1
    }

    pub fn without(mut self, number: u8) -> Self {
        self.pages.retain(|(known, _)| *known != number);
        self
    }

    /// Sets the check code at `at` of a page to the sum of the bytes `from` to `at - 1`.
    pub fn seal(&mut self, number: u8, from: usize, at: usize) {
        let page = self.page(number);
        page[at] = sum(&page[from..at]);
    }

    pub fn image(&self) -> Image {
        let pages =
            self.pages.iter().map(|(number, bytes)| (Block::Upper(*number), bytes[128..].to_vec()));
        Image::of_blocks(std::iter::once((Block::Lower, self.lower.to_vec())).chain(pages).collect())
    }
}

pub fn image_of(a0: &[u8], a2: &[u8]) -> Image {
    Image::in_usual_order(&[a0, a2].concat())
}

/// Decodes and judges.
pub fn judged(image: &Image) -> (Result<Memory, NoMemory>, Vec<Finding>) {
    let memory = decode(image, &TABLES);
    let findings = match &memory {
        Ok(memory) => memory_rules::judge(memory, image, &TABLES, FileId(0)),
        Err(fault) => vec![memory_rules::refuse(fault, image, FileId(0))],
    };
    (memory, findings)
}

pub fn read(image: &Image) -> Memory {
    decode(image, &TABLES).expect("a memory")
}

/// Reads a text that is a dump.
pub fn parsed(text: &str) -> Image {
    dump::parse(text.as_bytes(), FileId(0)).expect("a dump")
}

pub fn interface_names(memory: &Memory) -> Vec<String> {
    suggest_interface(memory, &TABLES).into_iter().map(|named| named.name).collect()
}

pub fn rule_ids(findings: &[Finding]) -> Vec<&'static str> {
    findings.iter().map(|finding| finding.rule.id).collect()
}
