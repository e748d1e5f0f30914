//! Words in the name of a module that say that no light leaves it: copper, backplanes, attached cables.

use super::Tables;

/// One word.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ElectricalWord {
    /// Whether it says so only behind `BASE`.
    pub behind_base: bool,
    /// What it stands for.
    pub meaning: String,
}

impl Tables {
    /// Whether a written name is that of copper or of a cable with its ends fixed: `1000BASE-T`,
    /// `10G-DAC-3M`, `100GBASE-CR4`. Such a port is not optical, and nothing is judged of its light.
    pub fn says_electrical(&self, written: &str) -> bool {
        self.electrical(written).is_some()
    }

    /// The row of the word by which a written name is that of copper or of a cable with its ends fixed.
    pub fn electrical(&self, written: &str) -> Option<&ElectricalWord> {
        const BASE: &str = "BASE";
        let mut behind_base = false;
        for word in written.split(|c: char| !c.is_ascii_alphanumeric()).filter(|word| !word.is_empty()) {
            let word = word.to_ascii_uppercase();
            let own = match word.find(BASE) {
                Some(at) => {
                    behind_base = true;
                    &word[at + BASE.len()..]
                }
                None => word.as_str(),
            };
            if !own.is_empty() {
                if let Some(found) = self.electrical_word(own, behind_base) {
                    return Some(found);
                }
                behind_base = false;
            }
        }
        None
    }

    /// A word as it stands, or without the number behind it: of lanes (`CR4`), of meters (`DAC3M`).
    fn electrical_word(&self, word: &str, behind_base: bool) -> Option<&ElectricalWord> {
        let letters = word.find(|c: char| c.is_ascii_digit()).map_or(word, |at| &word[..at]);
        let says = |word: &str| {
            let row = self.electrical_words.get(word)?;
            (behind_base || !row.value.behind_base).then_some(&row.value)
        };
        says(word).or_else(|| says(letters))
    }
}
