//! `power-classes`.

use super::cells::Cells;
use super::form_factor::FORM;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::PowerClass;

pub(super) static POWER_CLASSES: Layout<PowerClass> = Layout {
    name: "power-classes",
    built_in: include_str!("../../../reference-tables/power-classes.csv"),
    required: &["form", "class"],
    slot: |tables| &mut tables.power_classes,
    row: power_class,
    clashes: no_clashes,
};

fn power_class(cells: &mut Cells<'_>) -> Option<Entry<PowerClass>> {
    let form = cells.need_row("form", |tables| &tables.form_factors, FORM);
    let class = cells.name("class");
    let most = cells.watts("most_w");
    let value = PowerClass { form: form?, class: class?, most };
    Some(Entry { key: PowerClass::key(&value.form, &value.class), aliases: vec![], value })
}
