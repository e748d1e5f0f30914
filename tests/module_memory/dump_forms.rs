//! One memory in every form of a dump, and dumps that are none.

use spanwright::fit::memory::{Block, Image, Naming};
use spanwright::place::FileId;
use spanwright::read::dump::parse;

use crate::build::{dump_text, parsed, plain_bytes};

fn lr() -> Vec<u8> {
    plain_bytes(&dump_text("sfpp_10gbase_lr.hex"))
}

fn line(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x} ")).collect::<Vec<_>>().concat()
}

/// Lines of 16 bytes, each behind what `head` makes of its offset.
fn with_offsets(bytes: &[u8], head: impl Fn(usize) -> String, tail: impl Fn(&[u8]) -> String) -> String {
    let lines = bytes.chunks(16).enumerate();
    lines
        .map(|(index, row)| format!("{}{}{}\n", head(16 * index), line(row), tail(row)))
        .collect::<Vec<_>>()
        .concat()
}

fn characters(row: &[u8]) -> String {
    row.iter().map(|byte| if byte.is_ascii_graphic() { char::from(*byte) } else { '.' }).collect()
}

/// Equal lines left out but for a star, and the length at the end.
fn squeezed(bytes: &[u8]) -> String {
    let mut text = String::new();
    let mut last: &[u8] = &[];
    let mut starred = false;
    for (index, row) in bytes.chunks(16).enumerate() {
        if row == last {
            text.push_str(if starred { "" } else { "*\n" });
            starred = true;
            continue;
        }
        (last, starred) = (row, false);
        text.push_str(&format!("{:08x}  {} |{}|\n", 16 * index, line(row), characters(row)));
    }
    text + &format!("{:08x}\n", bytes.len())
}

fn words_of_two(bytes: &[u8]) -> String {
    let pairs = |row: &[u8]| {
        row.chunks(2).map(|p| format!("{:02x}{:02x} ", p[0], p[1])).collect::<Vec<_>>().concat()
    };
    let lines = bytes.chunks(16).enumerate();
    lines
        .map(|(i, row)| format!("{:08x}: {} {}\n", 16 * i, pairs(row), characters(row)))
        .collect::<Vec<_>>()
        .concat()
}

#[test]
fn every_form_gives_the_same_bytes() {
    let bytes = lr();
    let raw = parse(&bytes, FileId(0)).expect("raw bytes");
    assert_eq!((raw.naming, raw.left_over, raw.missing()), (Naming::Certain, 0, 0));
    let none = |_: &[u8]| String::new();
    let columns = format!(
        "     0  1  2  3  4  5  6  7  8  9  a  b  c  d  e  f    0123456789abcdef\n{}",
        with_offsets(&bytes, |at| format!("{at:02x}: "), |row| format!("   {}", characters(row)))
    );
    let two = [&bytes[..256], &bytes[256..]];
    let forms = [
        ("plain", dump_text("sfpp_10gbase_lr.hex")),
        ("plain, other line ends", dump_text("sfpp_10gbase_lr.hex").replace('\n', "\r\n")),
        ("plain, with a mark", format!("\u{feff}{}", dump_text("sfpp_10gbase_lr.hex"))),
        ("one line", line(&bytes).replace(' ', "")),
        ("as in a program", bytes.iter().map(|b| format!("0x{b:02X}, ")).collect::<Vec<_>>().concat()),
        ("offsets", with_offsets(&bytes, |at| format!("0x{at:04x}:\t"), none)),
        (
            "headed",
            format!(
                "Offset\t\tValues\n------\t\t------\n{}",
                with_offsets(&bytes, |at| format!("0x{at:04x}:\t"), none)
            ),
        ),
        (
            "two-digit column numbers",
            format!(
                "      {}\n{}",
                line(&(0..16).collect::<Vec<u8>>()),
                with_offsets(&bytes, |at| format!("{at:04x}: "), none)
            ),
        ),
        (
            "offsets and characters",
            with_offsets(&bytes, |at| format!("{at:08x}  "), |row| format!("|{}|", characters(row))),
        ),
        ("column numbers", columns),
        ("squeezed", squeezed(&bytes)),
        ("words of two", words_of_two(&bytes)),
        (
            "eight a line",
            bytes
                .chunks(8)
                .enumerate()
                .map(|(i, row)| format!("{:04x}: {}  {}\n", 8 * i, line(row), characters(row)))
                .collect::<Vec<_>>()
                .concat(),
        ),
        (
            "decimal offsets, named",
            format!(
                "A0h\n{}A2h\n{}",
                with_offsets(two[0], |at| format!("{at:03}  "), none),
                with_offsets(two[1], |at| format!("{:03}  ", at + 256), none)
            ),
        ),
        (
            "each address from 0",
            two.map(|half| with_offsets(half, |at| format!("{at:02x}: "), none)).concat(),
        ),
        ("named", format!("# own notes\nA2h:\n{}\nA0h:\n{}", line(two[1]), line(two[0]))),
    ];
    for (form, text) in forms {
        let image = parse(text.as_bytes(), FileId(0));
        let image = image.unwrap_or_else(|findings| panic!("{form}: {findings:#?}\n{text}"));
        let blocks = [Block::Lower, Block::Upper(0), Block::SecondLower, Block::SecondUpper(0)];
        let mut found: Vec<_> = image.blocks().collect();
        found.sort();
        assert_eq!(found, blocks, "{form}");
        let in_order = form != "named";
        if in_order {
            assert_eq!(image.bytes().collect::<Vec<_>>(), bytes, "{form}");
        } else {
            let swapped = [two[1], two[0]].concat();
            assert_eq!(image.bytes().collect::<Vec<_>>(), swapped, "{form}");
        }
        assert_eq!((image.left_over, image.missing()), (0, 0), "{form}");
    }
}

#[test]
fn pages_may_stand_in_any_order_under_their_names() {
    let bytes = plain_bytes(&dump_text("qsfpdd_400gbase_fr4_cmis.hex"));
    let pages = ["lower", "page 00h", "page 01h", "page 0x02", "Page 11h:"];
    let section = |index: usize| format!("{}\n{}\n", pages[index], line(&bytes[128 * index..][..128]));
    let text: String = [4, 2, 0, 3, 1].into_iter().map(section).collect();
    let image = parsed(&text);
    assert_eq!(image.naming, Naming::Stated);
    let usual = parsed(&dump_text("qsfpdd_400gbase_fr4_cmis.hex"));
    assert_eq!(usual.naming, Naming::Usual);
    let mut blocks: Vec<_> = image.blocks().collect();
    blocks.sort();
    assert_eq!(blocks, usual.blocks().collect::<Vec<_>>());
    let read = |image: &Image| spanwright::fit::memory::decode(image, &crate::build::TABLES);
    assert_eq!(read(&image), read(&usual));
}

/// The message of the first finding and its place.
fn fault(text: &str) -> (u32, u32, String) {
    let findings = parse(text.as_bytes(), FileId(0)).expect_err("no dump");
    assert_eq!(findings[0].rule.id, "memory.bad-dump");
    (findings[0].origin.line, findings[0].origin.column, findings[0].message.clone())
}

#[test]
fn faults_are_found_with_their_place() {
    let bytes = lr();
    let text = with_offsets(&bytes, |at| format!("{at:04x}: "), |_| String::new());
    let with = |line: usize, from: &str, to: &str| {
        let mut lines: Vec<String> = text.lines().map(String::from).collect();
        lines[line] = lines[line].replacen(from, to, 1);
        lines.join("\n")
    };
    assert_eq!(fault(&with(2, "20 20", "20 XX")), (3, 16, "`XX` is not a byte in hex".to_string()));
    let message = "the offset 80 (0x50) stands here, but 79 (0x4F) comes next";
    assert_eq!(fault(&with(4, "00 1a ", "00 ")), (6, 1, message.to_string()));
    let gone = text.lines().filter(|line| !line.starts_with("0030")).collect::<Vec<_>>().join(
        "
",
    );
    let message = "the offset 64 (0x40) stands here, but 48 (0x30) comes next";
    assert_eq!(fault(&gone), (4, 1, message.to_string()));
    assert_eq!(
        fault(&with(5, "0050: ", "")),
        (6, 1, "this line has no offset, and others have".to_string())
    );
    // A first line with a lost digit is no heading.
    assert_eq!(fault("0g 04 07 10\n03 04 07 10\n"), (1, 1, "`0g` is not a byte in hex".to_string()));
    assert_eq!(fault("03 04 7 10\n"), (1, 7, "`7` is not a byte in hex".to_string()));
    assert_eq!(fault("03 04\nnonsense\n"), (2, 1, "`nonsense` is not a byte in hex".to_string()));
    // Words of two bytes behind an offset without a colon have the order of some machine.
    let words = "00000000 0403 0007\n00000010 0004 0000\n";
    assert_eq!(fault(words), (1, 10, "`0403` is not as long as the numbers before it".to_string()));
    assert_eq!(fault("").2, "the text holds no byte in hex");
    assert_eq!(fault("only words\n").2, "the text holds no byte in hex");
    let utf_16: Vec<u8> =
        std::iter::once(0xFEFF).chain("03 04".encode_utf16()).flat_map(u16::to_le_bytes).collect();
    assert!(parse(&utf_16, FileId(0)).expect_err("no dump")[0].message.contains("UTF-16"));
}
