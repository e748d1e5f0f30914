//! Words that stand in a cell and say nothing, or that there is no light.
//!
//! One list for all columns: what is nothing for a name is nothing for a number. Words for dark are no
//! words for nothing: a level that was not measured accuses nobody.

use super::name::site;

/// Words for nothing, letters and digits only (common practice): what people and collectors write where
/// there is nothing to write.
const NOTHING: [&str; 19] = [
    "",
    "EMPTY",
    "NA",
    "NAN",
    "NIL",
    "NONE",
    "NOREADING",
    "NOTAPPLICABLE",
    "NOTAVAILABLE",
    "NOTMEASURED",
    "NOTREAD",
    "NOTSUPPORTED",
    "NS",
    "NULL",
    "TBC",
    "TBD",
    "UNKNOWN",
    "UNMEASURED",
    "UNSUPPORTED",
];

/// Words for a receiver or laser without light, letters and digits only (common practice).
const DARK: [&str; 11] = [
    "DARK",
    "INF",
    "INFDBM",
    "INFINITY",
    "LOS",
    "LOSSOFSIGNAL",
    "LOW",
    "NOLIGHT",
    "NOSIGNAL",
    "RXLOS",
    "TXOFF",
];

/// Words that stand in the column of an identifier and name nothing: what is free has no name yet
/// (common practice).
const FREE: [&str; 6] = ["AVAILABLE", "DARK", "FREE", "RESERVED", "SPARE", "UNUSED"];

/// Whether a cell is empty, holds marks only (`-`, `?`), or a word for nothing.
pub fn says_nothing(cell: &str) -> bool {
    is_one_of(cell, &NOTHING)
}

/// Whether a level's cell says in words that there is no light: `-inf dBm`, `LOS`, `no light`.
pub fn says_dark(cell: &str) -> bool {
    is_one_of(cell, &DARK)
}

/// Whether the cell of an identifier names nothing: it says nothing, or that a jumper or strand is free.
pub fn names_nothing(cell: &str) -> bool {
    let word = site(cell);
    [&NOTHING[..], &FREE].iter().any(|words| words.contains(&word.as_str()))
}

/// Words are compared without their marks. None of them has a digit, and most cells do.
fn is_one_of(cell: &str, words: &[&str]) -> bool {
    !cell.bytes().any(|byte| byte.is_ascii_digit()) && words.contains(&site(cell).as_str())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_for_nothing_and_names_that_begin_like_them() {
        for cell in [
            "",
            " ",
            "-",
            "--",
            "--.--",
            "?",
            "n/a",
            "N.A.",
            "#N/A",
            "none",
            "tbd",
            "Not available",
            "not supported",
            "unsupported",
            "n/s",
            "not measured",
            "unknown",
        ] {
            assert!(says_nothing(cell) && names_nothing(cell) && !says_dark(cell), "{cell}");
        }
        for cell in ["0", "NA-1", "none-2", "10GBASE-LR", "TBD4", "spare", "dark"] {
            assert!(!says_nothing(cell), "{cell}");
        }
    }

    #[test]
    fn words_for_dark_and_for_free() {
        for cell in ["-inf dBm", "-Inf", "LOS", "dark", "no light", "Rx LOS"] {
            assert!(says_dark(cell) && !says_nothing(cell), "{cell}");
        }
        for cell in ["spare", "(free)", "DARK", "reserved"] {
            assert!(names_nothing(cell), "{cell}");
        }
        for cell in ["spare 1", "J-12", "DARK-3"] {
            assert!(!names_nothing(cell), "{cell}");
        }
    }
}
