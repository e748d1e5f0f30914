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
    /// `10G-DAC-3M`, `100GBASE-CR4`. Such a port is not optical, and nothing is judged of it.
    pub fn says_electrical(&self, written: &str) -> bool {
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
                if self.is_electrical(own, behind_base) {
                    return true;
                }
                behind_base = false;
            }
        }
        false
    }

    /// A word as it stands, or without the number behind it: of lanes (`CR4`), of meters (`DAC3M`).
    fn is_electrical(&self, word: &str, behind_base: bool) -> bool {
        let letters = word.find(|c: char| c.is_ascii_digit()).map_or(word, |at| &word[..at]);
        let says = |word: &str| {
            let row = self.electrical_words.get(word);
            row.is_some_and(|row| behind_base || !row.value.behind_base)
        };
        says(word) || says(letters)
    }
}
