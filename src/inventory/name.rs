//! Normal forms of names, so that `V.T.C.` is `VTC` and `eth-1/0/2.0` is `10GE 1/0/2`.
//!
//! Site: letters and digits only, upper case; everything else is dropped.
//!
//! Port: runs of digits and runs of letters, upper case, joined by `/`; zeros before a number are
//! dropped; a last `.0` (the unit of a logical interface) is dropped; where at least two numbers
//! follow the last letters, all that stands before them (`eth`, `10GE`, `PON`) is dropped. A name
//! with one number keeps its letters: `PON 3` is not `ETH 3`; but a word between the numbers of one name,
//! parted from them by signs, is dropped: `1/2/PON 3` is `1/2/3`.

use std::hash::{BuildHasher, Hasher};

use foldhash::quality::FixedState;

/// Fixed, so that equal input gives equal output on every run.
pub(super) const SEED: u64 = 0x5350_414e_5752_4954;

/// Hash of a text; never 0.
pub fn hash(text: &[u8]) -> u64 {
    let mut hasher = FixedState::with_seed(SEED).build_hasher();
    hasher.write(text);
    hasher.finish().max(1)
}

/// Fingerprint of 32 bits; never 0.
pub fn fingerprint(text: &[u8]) -> u32 {
    ((hash(text) >> 32) as u32).max(1)
}

/// Hash of a port at a site; never 0.
pub fn port_key(site: u64, port: u64) -> u64 {
    let mut hasher = FixedState::with_seed(SEED).build_hasher();
    hasher.write_u64(site);
    hasher.write_u64(port);
    hasher.finish().max(1)
}

/// The letter or digit that a byte stands for in normal forms, in capitals; 0 = none.
static FOLDED: [u8; 256] = folded();

const fn folded() -> [u8; 256] {
    let mut table = [0; 256];
    let mut byte = 0;
    while byte < 256 {
        let b = byte as u8;
        table[byte] = match b {
            b'0'..=b'9' | b'A'..=b'Z' | 128.. => b,
            b'a'..=b'z' => b.to_ascii_uppercase(),
            _ => 0,
        };
        byte += 1;
    }
    table
}

/// Whether an identifier is made of numbers alone.
pub fn is_bare(identifier: &str) -> bool {
    !identifier.contains(char::is_alphabetic)
}

/// The normal form of an identifier as text: letters and digits, in capitals; other signs are dropped,
/// but one `/` is kept where they part two numbers, since `1-12` is not `11-2`.
pub fn identifier(written: &str) -> String {
    let mut out = String::with_capacity(written.len());
    let (mut after_digit, mut parted) = (false, false);
    for letter in written.chars() {
        if !letter.is_alphanumeric() {
            parted = true;
            continue;
        }
        let digit = letter.is_ascii_digit();
        if digit && after_digit && parted {
            out.push('/');
        }
        out.extend(letter.to_uppercase());
        (after_digit, parted) = (digit, false);
    }
    out
}

/// Appends the normal form of a site's name.
pub fn push_site(written: &[u8], out: &mut Vec<u8>) {
    if written.is_ascii() {
        out.extend(written.iter().map(|byte| FOLDED[usize::from(*byte)]).filter(|byte| *byte != 0));
        return;
    }
    let text = String::from_utf8_lossy(written);
    let letters = text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_uppercase);
    let mut buffer = [0; 4];
    for letter in letters {
        out.extend_from_slice(letter.encode_utf8(&mut buffer).as_bytes());
    }
}

/// Appends the normal form of a port's name and returns how many numbers it ends in.
pub fn push_port(written: &[u8], out: &mut Vec<u8>) -> usize {
    #[derive(PartialEq)]
    enum Run {
        None,
        Digits,
        Letters,
    }
    let start = out.len();
    let (mut number_start, mut letters_end, mut numbers) = (start, start, 0);
    let mut run = Run::None;
    for byte in without_unit(written) {
        let folded = FOLDED[usize::from(*byte)];
        if folded == 0 {
            run = Run::None;
            continue;
        }
        let now = if folded.is_ascii_digit() { Run::Digits } else { Run::Letters };
        if now != run && out.len() > start {
            out.push(b'/');
        }
        if now == Run::Letters {
            out.push(folded);
            (letters_end, numbers) = (out.len(), 0);
        } else {
            if run != Run::Digits {
                number_start = out.len();
                numbers += 1;
            } else if out[number_start..] == *b"0" {
                out.pop();
            }
            out.push(folded);
        }
        run = now;
    }
    if numbers >= 2 && letters_end > start {
        out.drain(start..=letters_end);
    } else if numbers == 1
        && letters_end > start
        && out[start].is_ascii_digit()
        && parts_numbers(written)
    {
        let word = out[start..letters_end].iter().rev().take_while(|byte| **byte != b'/').count();
        out.drain(letters_end - word..=letters_end);
        return 2;
    }
    numbers
}

/// Whether the only word of a port stands between numbers of one name, parted from those before by a sign:
/// `PON` of `1/2/PON 3`.
fn parts_numbers(port: &[u8]) -> bool {
    let letter = |byte: &u8| byte.is_ascii_alphabetic() || *byte >= 128;
    let mut words = port.split(|byte| !letter(byte)).filter(|word| !word.is_empty());
    let first = port.iter().position(letter).unwrap_or_default();
    let before = first.checked_sub(1).map(|at| port[at]);
    words.nth(1).is_none() && before.is_some_and(|byte| byte.is_ascii_punctuation())
}

/// Whether a cell for one port names two: `1/1 & 1/2`, `1/1; 1/2`, `1/1, 1/2`, `1/1 or 1/2`.
pub fn are_two_ports(written: &[u8]) -> bool {
    let parts = |at: usize| {
        let (before, after) = (&written[..at], &written[at + 1..]);
        let is_port = |text: &[u8]| text.iter().any(|byte| matches!(byte, b'/' | b'-' | b'.' | b':'));
        // A comma may part the numbers of one port.
        written[at] != b',' || after.starts_with(b" ") || (is_port(before) && is_port(after))
    };
    let marks = |byte: &u8| matches!(byte, b';' | b'&' | b'+' | b',');
    if written.iter().enumerate().any(|(at, byte)| marks(byte) && parts(at)) {
        return true;
    }
    let mut words = written.split(u8::is_ascii_whitespace);
    let first = words.next().unwrap_or_default();
    let between = |word: &[u8]| word.eq_ignore_ascii_case(b"or") || word.eq_ignore_ascii_case(b"and");
    first.iter().any(u8::is_ascii_digit) && words.any(between)
}

/// Without a `.0` behind a number.
fn without_unit(port: &[u8]) -> &[u8] {
    match port.strip_suffix(b".0") {
        Some(rest) if rest.last().is_some_and(u8::is_ascii_digit) && rest.contains(&b'/') => rest,
        _ => port,
    }
}

/// The normal form of a port's own name: one number stands behind shelf and slot where they are
/// written, whatever letters come before it.
pub fn push_own_port(shelf: &[u8], slot: &[u8], port: &[u8], out: &mut Vec<u8>) {
    let start = out.len();
    let numbers = push_port(port, out);
    let only_number = numbers == 1;
    if !only_number || slot.is_empty() {
        return;
    }
    let digits = out[start..].iter().rev().take_while(|b| b.is_ascii_digit()).count();
    let number_start = out.len() - digits;
    let mut whole = Vec::with_capacity(24);
    if !shelf.is_empty() {
        push_port(shelf, &mut whole);
        whole.push(b'/');
    }
    push_port(slot, &mut whole);
    whole.push(b'/');
    whole.extend_from_slice(&out[number_start..]);
    out.truncate(start);
    out.append(&mut whole);
}

/// The normal form of a site's name as text.
pub fn site(written: &str) -> String {
    let mut out = Vec::new();
    push_site(written.as_bytes(), &mut out);
    String::from_utf8_lossy(&out).into_owned()
}

/// The normal form of a port's name as text.
pub fn port(written: &str) -> String {
    let mut out = Vec::new();
    push_port(written.as_bytes(), &mut out);
    String::from_utf8_lossy(&out).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The spellings are those that common exports show for one port (common practice).
    #[test]
    fn one_port_in_many_spellings() {
        for spelling in ["1/0/2", "eth-1/0/2.0", "ETH1/0/2", "10GE 1/0/2", "1-0-2", "01/00/02", "1.0.2 "]
        {
            assert_eq!(port(spelling), "1/0/2", "{spelling}");
        }
        assert_eq!(port("PON 3"), "PON/3");
        for spelling in ["1/2/PON 3", "01-2-pon-3", "1/2/PON3"] {
            assert_eq!(port(spelling), "1/2/3", "{spelling}");
        }
        // Digits that touch letters, or stand apart from them, are no shelf.
        assert_eq!((port("10GE 3"), port("10 GE 3")), ("10/GE/3".to_string(), "10/GE/3".to_string()));
        assert_eq!(port("eth03"), "ETH/3");
        assert_ne!(port("1/0/2"), port("1/0/12"));
        assert_eq!(port("1/1/0"), "1/1/0");
    }

    #[test]
    fn one_site_in_many_spellings() {
        for spelling in ["VTC", "VTC ", "Vtc", "V.T.C."] {
            assert_eq!(site(spelling), "VTC", "{spelling}");
        }
        assert_eq!(site("Skärn-2"), "SKÄRN2");
    }

    #[test]
    fn a_single_number_stands_behind_shelf_and_slot() {
        let own = |shelf: &str, slot: &str, port: &str| {
            let mut out = Vec::new();
            push_own_port(shelf.as_bytes(), slot.as_bytes(), port.as_bytes(), &mut out);
            String::from_utf8(out).expect("ASCII")
        };
        assert_eq!(own("1", "03", "PON 7"), "1/3/7");
        assert_eq!(own("", "03", "7"), "3/7");
        assert_eq!(own("1", "03", "1/4/7"), "1/4/7");
        assert_eq!(own("", "", "7"), "7");
    }

    #[test]
    fn one_identifier_in_many_spellings() {
        for spelling in ["J-000000017", "j000000017", "J 000000017", "(J) 000000017"] {
            assert_eq!(identifier(spelling), "J000000017", "{spelling}");
        }
        assert_eq!(identifier("F1-1-12"), identifier("f1/1.12"));
        // Numbers that stand beside each other are not one number.
        assert_ne!(identifier("F1-1-12"), identifier("F1-11-2"));
        assert_ne!(identifier("CB1:234"), identifier("CB12:34"));
    }

    #[test]
    fn two_ports_in_one_cell() {
        for two in ["1/1;1/2", "1/1 & 1/2", "1/1 or 1/2", "1/1, 1/2", "1/1,1/2", "eth1 AND eth2"] {
            assert!(are_two_ports(two.as_bytes()), "{two}");
        }
        for one in ["1/1/2", "PON 3", "eth-1/0/2.0", "Norand 1/2", "and 1/2", "1,1,2"] {
            assert!(!are_two_ports(one.as_bytes()), "{one}");
        }
    }
}
