//! `cages`.

use super::cells::Cells;
use super::form_factor::FORM;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{CageFit, Condition, Seats, Works};

pub(super) static CAGES: Layout<CageFit> = Layout {
    name: "cages",
    built_in: include_str!("../../../reference-tables/cages.csv"),
    required: &["cage", "module", "seats", "works"],
    slot: |tables| &mut tables.cages,
    row: cage,
    clashes: no_clashes,
};

fn cage(cells: &mut Cells<'_>) -> Option<Entry<CageFit>> {
    let cage = form(cells, "cage");
    let module = form(cells, "module");
    let seats = cells.word("seats", Seats::from_word, &Seats::WORDS);
    let seats = cells.need("seats", seats);
    let works = cells.word("works", Works::from_word, &Works::WORDS);
    let works = cells.need("works", works);
    let condition = cells.word("condition", Condition::from_word, &Condition::WORDS);
    let condition = condition.unwrap_or(Condition::None);
    if works == Some(Works::Depends) && condition == Condition::None {
        let message = "`works` is `depends`, but `condition` does not say on what".to_string();
        cells.bad("condition", message, "");
    }
    let why = cells.text("why").to_string();
    let value = CageFit { cage: cage?, module: module?, seats: seats?, works: works?, condition, why };
    Some(Entry { key: CageFit::key(&value.cage, &value.module), aliases: vec![], value })
}

/// A form factor, or the sign for all of them.
fn form(cells: &mut Cells<'_>, column: &str) -> Option<String> {
    if cells.text(column) == CageFit::ANY {
        return Some(CageFit::ANY.to_string());
    }
    cells.need_row(column, |tables| &tables.form_factors, FORM)
}
