//! `electrical-words`.

use super::cells::Cells;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::ElectricalWord;

pub(super) static ELECTRICAL_WORDS: Layout<ElectricalWord> = Layout {
    name: "electrical-words",
    built_in: include_str!("../../../reference-tables/electrical-words.csv"),
    required: &["word"],
    slot: |tables| &mut tables.electrical_words,
    row: electrical_word,
    clashes: no_clashes,
};

fn electrical_word(cells: &mut Cells<'_>) -> Option<Entry<ElectricalWord>> {
    let key = cells.name("word");
    let behind_base = cells.yes_or_no("behind_base").unwrap_or(false);
    let value = ElectricalWord { behind_base, meaning: cells.text("meaning").to_string() };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}
