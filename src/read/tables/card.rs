//! `cards`.

use super::cells::Cells;
use super::form_factor::FORM;
use super::interface::FEC_WORDS;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::Card;

pub(super) static CARDS: Layout<Card> = Layout {
    name: "cards",
    built_in: include_str!("../../../reference-tables/cards.csv"),
    required: &["card", "ports"],
    slot: |tables| &mut tables.cards,
    row: card,
    clashes: no_clashes,
};

fn card(cells: &mut Cells<'_>) -> Option<Entry<Card>> {
    let key = cells.name("card");
    let cage = match cells.text("cage") {
        "" => Some(String::new()),
        _ => cells.need_row("cage", |tables| &tables.form_factors, FORM),
    };
    let ports = cells.count_or_none("ports");
    let ports = cells.need("ports", ports);
    let value = Card {
        interfaces: cells.list("interfaces"),
        rates: cells.rates("gbit_s"),
        pon: cells.yes_or_no("pon").unwrap_or(false),
        cage_power: cells.watts("cage_w"),
        card_power: cells.watts("card_w"),
        group: cells.count("group").unwrap_or(1),
        fec: fec(cells),
        edc: cells.yes_or_no("edc").unwrap_or(false),
        breakout: cells.list("breakout"),
        // Last, so that every other cell has been looked at.
        cage: cage?,
        ports: ports?,
    };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}

/// The words of a list of forward error corrections, those of interfaces.
fn fec(cells: &mut Cells<'_>) -> Vec<String> {
    let list = cells.list("fec");
    if let Some(unknown) = list.iter().find(|word| !FEC_WORDS.contains(&word.as_str())) {
        let message = format!("`{unknown}` is not a word of `fec`; expected {}", FEC_WORDS.join(", "));
        cells.bad("fec", message, "");
    }
    list
}
