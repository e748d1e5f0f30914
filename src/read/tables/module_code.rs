//! `module-codes`.

use super::cells::{self, CODE, Cells, PLAIN};
use super::interface::INTERFACE;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{CodeAt, CodedInterface, FormFamily, ModuleCode};
use crate::units::Watts;

pub(super) static MODULE_CODES: Layout<ModuleCode> = Layout {
    name: "module-codes",
    built_in: include_str!("../../../reference-tables/module-codes.csv"),
    required: &["standard", "field", "meaning"],
    slot: |tables| &mut tables.module_codes,
    row: module_code,
    clashes: no_clashes,
};

fn module_code(cells: &mut Cells<'_>) -> Option<Entry<ModuleCode>> {
    let standard = cells.name("standard");
    let field = cells.name("field");
    let at = code_at(cells);
    let meaning = cells.name("meaning");
    let interfaces = interfaces(cells);
    let watts = cells.number("watts", &PLAIN).map(Watts::new);
    if watts.is_some_and(|watts| watts < Watts::ZERO) {
        cells.bad("watts", "a power is not negative".to_string(), "");
    }
    let (standard, field, at) = (standard?, field?, at?);
    let key = ModuleCode::key(&standard, &field, at);
    let value = ModuleCode { standard, field, at, meaning: meaning?, interfaces, watts };
    Some(Entry { key, aliases: vec![], value })
}

/// A code such as `0Ch`, or else the number of a bit.
fn code_at(cells: &mut Cells<'_>) -> Option<CodeAt> {
    let (code, bit) = (cells.text("code"), cells.text("bit"));
    match (code.is_empty(), bit.is_empty()) {
        (false, true) => {
            let value = cells::code(code);
            if value.is_none() {
                cells.bad("code", CODE.to_string(), "");
            }
            value.map(CodeAt::Value)
        }
        (true, false) => {
            let number = bit.parse::<u8>().ok().filter(|number| *number < 8);
            if number.is_none() {
                cells.bad("bit", "a bit is a whole number from 0 to 7".to_string(), "");
            }
            number.map(CodeAt::Bit)
        }
        _ => {
            cells.bad("code", "a row has either a `code` or a `bit`".to_string(), "");
            None
        }
    }
}

/// Names of interface types, each with the family of form factors it holds for in front, if any.
fn interfaces(cells: &mut Cells<'_>) -> Vec<CodedInterface> {
    let mut coded = Vec::new();
    for item in cells.list("interface") {
        let (family, name) = match item.split_once(':') {
            Some((family, name)) => (Some(family.trim()), name.trim()),
            None => (None, item.as_str()),
        };
        let form = family.and_then(FormFamily::from_word);
        if family.is_some() && form.is_none() {
            cells.bad(
                "interface",
                format!("`{item}`: expected `SFP:` or `QSFP:` in front of a name"),
                "",
            );
        }
        let known = cells.row_named("interface", name, |tables| &tables.interfaces, INTERFACE);
        coded.extend(known.map(|interface| CodedInterface { form, interface }));
    }
    coded
}
