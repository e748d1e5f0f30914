//! Cells of numbers that are no plain numbers: written with a doubt, or meant for another column.

use super::date;
use super::turn::Turn;

/// What stands before a number that somebody is not sure of (common practice).
const DOUBTS: [&str; 16] = [
    "approximately",
    "approx.",
    "approx",
    "about",
    "circa",
    "ca.",
    "ca",
    "c.",
    "~",
    "≈",
    "<=",
    ">=",
    "<",
    ">",
    "≤",
    "≥",
];

/// What follows the doubt before a number: `~8.4`, `ca. 3`, `<4.1`.
pub(super) fn without_doubt<'t>(text: &'t str, turns: &mut Vec<Turn>) -> &'t str {
    let rest = DOUBTS.iter().find_map(|doubt| text.strip_prefix(doubt)).map(str::trim_start);
    match rest.filter(|rest| rest.starts_with(|c: char| c.is_ascii_digit() || "+-\u{2212}".contains(c)))
    {
        Some(rest) => {
            turns.push(Turn::Doubtful);
            rest
        }
        None => text,
    }
}

/// Whether lower-case text that is no number belongs to another column. Errors of spreadsheets (`#REF!`)
/// and numbers with an odd unit or slip (`7.9 dbx`, `-6..1`) do not.
pub(super) fn is_alien(text: &str) -> bool {
    if text.starts_with(['#', '=']) {
        return false;
    }
    if date::read(text) != date::Day::No {
        return true;
    }
    let rest = text.trim_start_matches(|c: char| !c.is_alphabetic() && c != ' ');
    let before = &text[..text.len() - rest.len()];
    let begins_as_number = before.contains(|c: char| c.is_ascii_digit());
    let one_word = rest.chars().all(|c| c.is_alphabetic() || matches!(c, '.' | '°' | '%'));
    let is_number = begins_as_number && (rest.is_empty() || rest.starts_with(' ') || one_word);
    !is_number || text.matches(['/', '-', ':']).count() > 1
}

#[cfg(test)]
mod tests {
    use super::super::number::{Quantity, read};
    use super::*;

    #[test]
    fn numbers_with_a_doubt_are_numbers() {
        let reading = |cell: &str| read(cell, Quantity::Loss);
        for (cell, value) in [("~8.4", 840.0), ("<4.1", 410.0), (">12", 1200.0), ("ca. 3", 300.0)] {
            assert_eq!(reading(cell).value.map(f64::round), Some(value), "{cell}");
            assert_eq!(reading(cell).turns, [Turn::Doubtful], "{cell}");
        }
        assert!(reading("card 3").bad);
    }

    #[test]
    fn what_belongs_elsewhere_is_told_from_a_badly_written_number() {
        for cell in ["in service", "G.652.D", "LC", "10GBASE-LR", "2021-05-03", "1/1/3", "x", "~x"] {
            assert!(read(cell, Quantity::Loss).alien, "{cell}");
        }
        for cell in ["-6..1", "7.9 dBx", "60 bananas", "#REF!", "=A1", "-5.1 dBm RX OK"] {
            let reading = read(cell, Quantity::Loss);
            assert!(reading.bad && !reading.alien, "{cell}");
        }
    }
}
