//! Fingerprints of identifiers: equal for every spelling of one identifier.
//!
//! Every row has several, so short ones are read sixteen bytes at a time: each byte of a word is looked
//! at by the same few operations on the whole word.

use std::hash::{BuildHasher, Hasher};

use foldhash::quality::FixedState;

use super::blank::names_nothing;
use super::name::{SEED, identifier, is_bare};

/// What tells equal identifiers apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Salt {
    /// For names with a letter.
    pub named: u64,
    /// For numbers alone.
    pub bare: u64,
}

impl Salt {
    /// For identifiers that are the same wherever they stand.
    pub const ANYWHERE: Self = Self { named: 0, bare: 0 };

    /// For identifiers that belong to a site.
    pub const fn at(site: u64) -> Self {
        Self { named: site, bare: site }
    }

    /// For identifiers that belong to a site when they are numbers alone: strand 12 of one site is not
    /// strand 12 of another, but a cable's name goes with it everywhere.
    pub const fn bare_at(site: u64) -> Self {
        Self { named: 0, bare: site }
    }
}

/// Bytes of a word.
const WORD: usize = 16;

/// An identifier as a row keeps it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Print {
    /// Fingerprint of the normal form (see [`identifier`]); 0 where nothing is said: marks alone, a word
    /// for nothing or for what is free.
    pub value: u32,
    /// Whether a plus stands in it, as in a number in powers of ten.
    pub has_plus: bool,
    /// Whether four digits or three letters stand in a row, as in a date.
    pub has_run: bool,
}

/// Looks at an identifier.
pub fn print(written: &[u8], salt: Salt) -> Print {
    if written.len() <= WORD {
        let word = load(written);
        if word & HIGH == 0 {
            return of_word(word, written.len(), salt);
        }
    }
    let normal = identifier(&String::from_utf8_lossy(written));
    let value = if normal.len() <= WORD && normal.is_ascii() {
        // Without its marks it is short: it must agree with one that was written without them.
        of_word(load(normal.as_bytes()), normal.len(), salt).value
    } else if names_nothing(&normal) {
        0
    } else {
        let mut hasher = FixedState::with_seed(SEED).build_hasher();
        hasher.write_u64(if is_bare(&normal) { salt.bare } else { salt.named });
        hasher.write(normal.as_bytes());
        upper(hasher.finish())
    };
    Print { value, has_plus: written.contains(&b'+'), has_run: true }
}

/// The upper half of a hash; never 0.
fn upper(hash: u64) -> u32 {
    ((hash >> 32) as u32).max(1)
}

/// A one in each byte.
const ONES: u128 = u128::from_le_bytes([1; WORD]);
/// The upper bit of each byte, which says that something is so.
const HIGH: u128 = ONES << 7;

/// At most sixteen bytes as a word; the first is the lowest.
fn load(bytes: &[u8]) -> u128 {
    match (bytes.first_chunk::<8>(), bytes.last_chunk::<8>()) {
        (Some(first), Some(last)) => {
            // Both overlap: what the first has is shifted out of the last.
            let beyond = u128::from(u64::from_le_bytes(*last)) << 64 >> (8 * (WORD - bytes.len()));
            u128::from(u64::from_le_bytes(*first)) | beyond >> 64 << 64
        }
        _ => bytes.iter().rev().fold(0, |word, byte| word << 8 | u128::from(*byte)),
    }
}

/// Which bytes lie between two, the bounds included; all must be below 128.
const fn between(word: u128, least: u8, most: u8) -> u128 {
    let reaches = word.wrapping_add(ONES * (0x80 - least as u128));
    let exceeds = word.wrapping_add(ONES * (0x7F - most as u128));
    reaches & !exceeds & HIGH
}

fn of_word(word: u128, length: usize, salt: Salt) -> Print {
    let digits = between(word, b'0', b'9');
    let small = between(word, b'a', b'z');
    let letters = small | between(word, b'A', b'Z');
    let four_digits = digits & digits << 8 & digits << 16 & digits << 24;
    let three_letters = letters & letters << 8 & letters << 16;
    let normal = normal(word, length, digits, letters, small);
    let says_nothing = normal == 0 || (digits == 0 && is_nothing(normal));
    let value = if says_nothing {
        0
    } else {
        let mut hasher = FixedState::with_seed(SEED).build_hasher();
        hasher.write_u64(normal as u64 ^ if letters == 0 { salt.bare } else { salt.named });
        hasher.write_u64((normal >> 64) as u64);
        upper(hasher.finish())
    };
    Print { value, has_plus: between(word, b'+', b'+') != 0, has_run: four_digits | three_letters != 0 }
}

/// The letters and digits of a word, in capitals, without gaps; a digit that marks part from the one
/// before it has its upper bit set.
fn normal(word: u128, length: usize, digits: u128, letters: u128, small: u128) -> u128 {
    let Some(spare) = WORD.checked_sub(length).filter(|spare| *spare < WORD) else { return 0 };
    // Capital letters differ from small ones by one bit, 0x20.
    let mut normal = word & !(small >> 2);
    let mut marks = HIGH >> (8 * spare) & !(digits | letters);
    let mut parts = marks & digits << 8;
    let mut further = marks & parts << 8;
    while further != 0 {
        parts |= further;
        further = marks & further << 8;
    }
    normal |= digits & parts << 8;
    while marks != 0 {
        // From the last to the first, so that the places of the others stay.
        let at = marks.ilog2();
        let below = (1 << (at - 7)) - 1;
        normal = normal & below | normal >> 8 & !below;
        marks ^= 1 << at;
    }
    normal
}

/// Whether a word without digits is one for nothing.
fn is_nothing(normal: u128) -> bool {
    let bytes = normal.to_le_bytes();
    str::from_utf8(&bytes).is_ok_and(|text| names_nothing(text.trim_end_matches('\0')))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn identifiers_have_one_fingerprint_however_they_are_written() {
        let salt = Salt { named: 5, bare: 7 };
        let value = |written: &str| print(written.as_bytes(), salt).value;
        for (one, other) in [
            ("F1-1-12", "f1/1.12"),
            ("J-000000017", "(((((((J)))))) 000000017"),
            ("a-very long identifier 12-7", "AVERYLONGIDENTIFIER12/7"),
            ("Skärn 2", "SKÄRN2"),
        ] {
            assert_eq!(value(one), value(other), "{one}");
        }
        for (one, other) in
            [("F1-1-12", "F1-11-2"), ("1-2", "12"), ("A1", "A-2"), ("Skärn 2", "Skörn 2")]
        {
            assert_ne!(value(one), value(other), "{one}");
        }
        let other = |written: &str, named, bare| print(written.as_bytes(), Salt { named, bare }).value;
        for (written, is_bare) in [("F1", false), ("3-12", true), ("0000000000000000000012", true)] {
            assert_eq!(value(written) == other(written, 6, 7), is_bare, "{written}");
            assert_eq!(value(written) == other(written, 5, 8), !is_bare, "{written}");
        }
        for nothing in [" -/- ", "n/a", "TBD", "unknown", "(not available)", "spare", "(reserved)"] {
            assert_eq!(value(nothing), 0, "{nothing}");
        }
    }

    #[test]
    fn what_may_be_damaged_is_told() {
        let look = |written: &str| {
            let print = print(written.as_bytes(), Salt::ANYWHERE);
            (print.has_plus, print.has_run)
        };
        assert_eq!(look("F1-1-12"), (false, false));
        assert_eq!(look("12-Jan"), (false, true));
        assert_eq!(look("2003-1-1"), (false, true));
        assert_eq!(look("1E+15"), (true, false));
        assert_eq!(look("123-456-AB-CD-+"), (true, false));
    }

    proptest::proptest! {
        /// Equal fingerprints and equal normal forms go together, however long the spelling is.
        #[test]
        fn a_fingerprint_stands_for_the_normal_form(
            a in "[aB01/ -]{0,20}",
            b in "[aB01/ -]{0,20}",
            marks in "[-/ ]{0,12}",
        ) {
            let value = |written: &str| print(written.as_bytes(), Salt::ANYWHERE).value;
            proptest::prop_assert_eq!(value(&a) == value(&b), identifier(&a) == identifier(&b));
            let padded = format!("{marks}{a}{marks}");
            proptest::prop_assert_eq!(value(&padded), value(&a));
        }
    }
}
