//! The split of a PON as people write it.

/// More legs than this no PON has (common practice); beyond it the cell says something else.
const MOST: u32 = 1024;

/// Words that stand beside the numbers.
const WORDS: [&str; 7] = ["splitter", "split", "spl", "plc", "-way", "ways", "way"];

/// The number of legs: `1:32`, `1x32`, `32`, `1/32`, `2:32` (two inputs), `SPL32`; splits one behind the
/// other multiply: `1:4 x 1:8`, `1:4+1:8`, `4x8`. `None` where that is not what the cell says.
pub(super) fn split(word: &str) -> Option<u16> {
    let mut text = word.to_lowercase();
    for word in WORDS {
        text = text.replace(word, " ");
    }
    let text = text.trim();
    // Two inputs or two stages: the mark does not tell.
    if text.replace(' ', "").starts_with("2x") {
        return None;
    }
    let is_sum = text.contains('+') && !text.contains([':', '/', 'x', '×']);
    let stages = text.split(['x', '×', '*', '+', '>']);
    let legs = stages.map(stage).try_fold(1_u32, |all, legs| all.checked_mul(legs?))?;
    u16::try_from(legs).ok().filter(|_| (1..=MOST).contains(&legs) && !is_sum)
}

/// Legs of one splitter: `1:8`, `2/8`, `8`.
fn stage(text: &str) -> Option<u32> {
    let whole = |text: &str| text.trim().parse::<u32>().ok().filter(|number| *number > 0);
    match text.split_once([':', '/']) {
        Some((inputs, legs)) => whole(inputs).filter(|inputs| *inputs <= 2).and(whole(legs)),
        None => whole(text),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Spellings of real records (common practice).
    #[test]
    fn splits_in_many_spellings() {
        for word in [
            "1:32",
            "1x32",
            "32",
            "1/32",
            "SPL32",
            "1 : 32",
            "2:32",
            "1:4 x 1:8",
            "1:4+1:8",
            "4x8",
            "1x4 + 1x8",
            "1:4 > 1:8",
            "32-way",
        ] {
            assert_eq!(split(word), Some(32), "{word}");
        }
    }

    #[test]
    fn what_is_not_understood_is_not_known() {
        for word in
            ["", "none", "1:41:8", "1:4 1:8", "4+8", "2x32", "tap 90/10", "90/10", "0", "1:0", "1:4 x"]
        {
            assert_eq!(split(word), None, "{word}");
        }
    }
}
