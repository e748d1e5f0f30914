//! The words and signs of verdicts: a sign and a word say it, a color only repeats it.

use crate::budget::Verdict;

/// A verdict as pages show it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sign {
    /// The verdict's word.
    pub word: &'static str,
    /// One character that survives black-and-white print.
    pub mark: &'static str,
    /// What it means.
    pub meaning: &'static str,
}

/// The sign of a verdict.
pub const fn sign(verdict: Verdict) -> Sign {
    let (mark, meaning) = match verdict {
        Verdict::Pass => ("✓", "the worst case closes and keeps the reserve"),
        Verdict::Marginal => (
            "▲",
            "it closes, but eats the reserve, or closes only statistically, or is too long; see why",
        ),
        Verdict::Unknown => ("?", "a needed figure is missing: nothing may be claimed"),
        Verdict::Overload => ("◆", "too much light may arrive: attenuate before plugging"),
        Verdict::Fail => ("✖", "too little light may arrive, or the ends are not made for each other"),
    };
    Sign { word: verdict.word(), mark, meaning }
}

/// All signs, best first.
pub fn signs() -> Vec<Sign> {
    Verdict::ALL.into_iter().map(sign).collect()
}
