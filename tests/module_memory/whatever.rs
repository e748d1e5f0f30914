//! Whatever bytes, whatever text: no panic, and what is said holds.

use proptest::prelude::*;
use spanwright::fit::memory::{BLOCK_BYTES, Block, Image, Limit, suggest_interface};
use spanwright::place::{FileId, Files};
use spanwright::read::dump::parse;
use spanwright::report::module::{Module, write_csv, write_json, write_table};
use spanwright::report::paint::Paint;

use crate::build::{TABLES, external, judged, lr};

/// Decodes, judges and writes every face of an image.
fn every_face(image: &Image) -> Result<(), TestCaseError> {
    let (memory, findings) = judged(image);
    let Ok(memory) = memory else {
        prop_assert!(findings.iter().all(spanwright::check::Finding::is_bad_input));
        return Ok(());
    };
    let interfaces = suggest_interface(&memory, &TABLES);
    for named in &interfaces {
        prop_assert_eq!(&TABLES.interfaces.row(named.interface).key, &named.name);
    }
    if let Ok(found) = &memory.diagnostics {
        for crossing in found.crossings() {
            let above = matches!(crossing.limit, Limit::HighAlarm | Limit::HighWarning);
            prop_assert_eq!(above, crossing.reading > crossing.threshold);
        }
    }
    let mut files = Files::default();
    files.add("module");
    let module = Module {
        memory: &memory,
        interfaces: &interfaces,
        findings: &findings,
        files: &files,
        width: 100,
    };
    let (mut table, mut json, mut csv) = (Vec::new(), Vec::new(), Vec::new());
    write_table(&module, Paint::default(), &mut table)?;
    write_json(&module, &mut json)?;
    write_csv(&module, &mut csv)?;
    let table = String::from_utf8_lossy(&table);
    for no_number in [" inf", " -inf", " NaN", "-NaN"] {
        prop_assert!(!table.contains(no_number), "{}", table);
    }
    prop_assert!(table.chars().all(|c| c == '\n' || !c.is_control()));
    Ok(())
}

/// Bytes that begin as some map wants it.
fn memory_bytes() -> impl Strategy<Value = Vec<u8>> {
    let identifier = prop::sample::select(vec![0x03, 0x0B, 0x0D, 0x11, 0x18, 0x19, 0x1E, 0x06]);
    (identifier, prop::collection::vec(any::<u8>(), 0..800)).prop_map(|(identifier, mut bytes)| {
        bytes.insert(0, identifier);
        bytes
    })
}

fn blocks() -> impl Strategy<Value = Vec<(Block, Vec<u8>)>> {
    let name = prop_oneof![
        Just(Block::Lower),
        prop::sample::select(vec![0u8, 1, 2, 3, 0x11, 0x12]).prop_map(Block::Upper),
        Just(Block::SecondLower),
        any::<u8>().prop_map(Block::SecondUpper),
    ];
    prop::collection::vec((name, prop::collection::vec(any::<u8>(), 0..=BLOCK_BYTES)), 0..8)
}

proptest! {
    #[test]
    fn any_bytes(bytes in memory_bytes()) {
        every_face(&Image::in_usual_order(&bytes))?;
    }

    #[test]
    fn any_blocks(blocks in blocks()) {
        every_face(&Image::of_blocks(blocks))?;
    }

    /// A sound module with any bytes overwritten, calibrated either way.
    #[test]
    fn any_damage(
        outside in any::<bool>(),
        damage in prop::collection::vec((0usize..512, any::<u8>()), 0..40),
        length in 0usize..=512,
    ) {
        let (a0, a2) = if outside { external() } else { lr() };
        let mut bytes = [a0, a2].concat();
        for (at, byte) in damage {
            bytes[at] = byte;
        }
        every_face(&Image::in_usual_order(&bytes[..length]))?;
    }

    /// One changed byte under a check code is always found.
    #[test]
    fn no_single_error_hides(at in 0usize..=95, change in 1u8..=255) {
        let (mut a0, a2) = lr();
        a0[at] = a0[at].wrapping_add(change);
        let (memory, findings) = judged(&Image::in_usual_order(&[a0, a2].concat()));
        if memory.is_ok() && at > 0 {
            prop_assert!(findings.iter().any(|finding| finding.rule.id == "memory.checksum"));
        }
    }

    #[test]
    fn any_file(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
        if let Ok(image) = parse(&bytes, FileId(0)) {
            every_face(&image)?;
        }
    }

    /// Findings about a text point into it.
    #[test]
    fn any_text(text in "(?s)([0-9a-fA-F]{2}[ ,\n:]|0x|A0h\n|A2h\n|page 1|lower|[*|#\r\t]|\\PC){0,120}") {
        match parse(text.as_bytes(), FileId(0)) {
            Ok(image) => every_face(&image)?,
            Err(findings) => {
                prop_assert!(!findings.is_empty());
                for finding in findings {
                    let (start, length) = (finding.origin.start as usize, finding.origin.length as usize);
                    let behind = text.strip_prefix('\u{feff}').unwrap_or(&text);
                    prop_assert!(behind.get(start..start + length).is_some());
                }
            }
        }
    }

    /// Any bytes written as lines of hex are read back.
    #[test]
    fn hex_is_read_back(bytes in memory_bytes(), width in 1usize..40) {
        let lines: String = bytes
            .chunks(width)
            .map(|row| row.iter().map(|byte| format!("{byte:02X} ")).collect::<Vec<_>>().concat() + "\n")
            .collect();
        let image = parse(lines.as_bytes(), FileId(0));
        prop_assert_eq!(image.ok(), Some(Image::in_usual_order(&bytes)));
    }
}
