//! Seeded changes that know the written forms: words of the trade, signs of YAML and CSV, odd numbers.

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// What is put in.
const WORDS: [&[u8]; 72] = [
    b"[",
    b"]",
    b"{",
    b"}",
    b":",
    b": ",
    b"- ",
    b"\n",
    b"\r\n",
    b"\t",
    b"\"",
    b"'",
    b"&a ",
    b"*a",
    b"!x ",
    b"#",
    b"/",
    b",",
    b";",
    b"|",
    b"[1-3]",
    b"1..3",
    b"[9-1]",
    b"0..9999",
    b"null",
    b"~",
    b"-1",
    b".nan",
    b"1e999",
    b"1e308",
    b"1e-300",
    b"-0",
    b"0",
    b"4294967296",
    b"18446744073709551615",
    b"0.005",
    b"\0",
    b"\x1B[31m",
    b"\xE2\x80\xAE",
    b"\xC3\xBC",
    b"\xFF",
    b"|\n",
    b">\n",
    b"<<: *a\n",
    b"---\n",
    b"%%% rows.csv\n",
    b"table: rows.csv",
    b"from,to,length\n",
    b"measured: {1310: 0.2 dB}",
    b"1x32",
    b"2x16",
    b"70/30",
    b"10GBASE-LR",
    b"10GBASE-SR",
    b"GPON-OLT-B+",
    b"GPON-ONU",
    b"G.652.D",
    b"OM3",
    b"3 km",
    b"80 m",
    b"0.3 dB",
    b"-8 dBm",
    b"1310 nm",
    b"99.9 %",
    b"splitters: {s: {ratio: 1x2}}",
    b"site,port,optic,far_site,far_port\n",
    b"XFD1048576",
    b"<c r=\"XFD1048576\"><v>1</v></c>",
    b"t=\"inlineStr\"",
    b"<row r=\"9\">",
    b"page 11h\n",
    b"\"coordinates\": [[0, 0], [1, 1]]",
];

/// Numbers that a number becomes.
const NUMBERS: [&str; 12] =
    ["0", "1", "2", "3", "17", "64", "99", "255", "1024", "0.001", "123.456", "9999"];

/// An input changed in one to eight places; `other` lends pieces.
pub fn changed(input: &[u8], other: &[u8], seed: u64) -> Vec<u8> {
    let mut random = Pcg64::seed_from_u64(seed);
    let mut bytes = input.to_vec();
    let changes = 1 << random.random_range(0..4);
    for _ in 0..random.random_range(1..=changes) {
        one(&mut bytes, other, &mut random);
    }
    bytes
}

fn one(bytes: &mut Vec<u8>, other: &[u8], random: &mut Pcg64) {
    let at = random.random_range(0..=bytes.len());
    let to = (at + random.random_range(0..60)).min(bytes.len());
    match random.random_range(0..10) {
        0 if at < bytes.len() => bytes[at] ^= 1 << random.random_range(0..8),
        1 if at < bytes.len() => bytes[at] = random.random(),
        2 => drop(bytes.drain(at..to)),
        3 => {
            let piece = bytes[at..to].to_vec();
            insert(bytes, to, &piece);
        }
        4 => swap_lines(bytes, random),
        5 => drop_line(bytes, random),
        6 if !other.is_empty() => {
            let from = random.random_range(0..other.len());
            let end = (from + random.random_range(1..120)).min(other.len());
            insert(bytes, at, &other[from..end]);
        }
        7 | 8 => number(bytes, at, random),
        _ => insert(bytes, at, WORDS[random.random_range(0..WORDS.len())]),
    }
}

fn insert(bytes: &mut Vec<u8>, at: usize, piece: &[u8]) {
    bytes.splice(at..at, piece.iter().copied());
}

/// Exchanges the first number behind a place.
fn number(bytes: &mut Vec<u8>, at: usize, random: &mut Pcg64) {
    let Some(from) = bytes[at..].iter().position(u8::is_ascii_digit).map(|from| at + from) else {
        return;
    };
    let length = bytes[from..].iter().take_while(|byte| byte.is_ascii_digit() || **byte == b'.').count();
    let new = NUMBERS[random.random_range(0..NUMBERS.len())];
    bytes.splice(from..from + length, new.bytes());
}

/// The line around a random place, its end included.
fn line(bytes: &[u8], random: &mut Pcg64) -> std::ops::Range<usize> {
    let at = random.random_range(0..=bytes.len());
    let from = bytes[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1);
    let to = bytes[at..].iter().position(|byte| *byte == b'\n').map_or(bytes.len(), |end| at + end + 1);
    from..to
}

fn swap_lines(bytes: &mut Vec<u8>, random: &mut Pcg64) {
    let moved = line(bytes, random);
    let piece: Vec<u8> = bytes.drain(moved).collect();
    let place = line(bytes, random).start;
    insert(bytes, place, &piece);
}

fn drop_line(bytes: &mut Vec<u8>, random: &mut Pcg64) {
    let gone = line(bytes, random);
    bytes.drain(gone);
}
