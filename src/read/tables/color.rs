//! `strand-colors` and `cable-templates`.

use super::cells::Cells;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{CableTemplate, StrandColor};

pub(super) static STRAND_COLORS: Layout<StrandColor> = Layout {
    name: "strand-colors",
    built_in: include_str!("../../../reference-tables/strand-colors.csv"),
    required: &["order", "position", "color", "abbreviation"],
    slot: |tables| &mut tables.strand_colors,
    row: color,
    clashes: no_clashes,
};

pub(super) static CABLE_TEMPLATES: Layout<CableTemplate> = Layout {
    name: "cable-templates",
    built_in: include_str!("../../../reference-tables/cable-templates.csv"),
    required: &["template", "order", "tube_size"],
    slot: |tables| &mut tables.cable_templates,
    row: template,
    clashes: no_clashes,
};

fn color(cells: &mut Cells<'_>) -> Option<Entry<StrandColor>> {
    let order = cells.name("order");
    let position = cells.count("position");
    let position = cells.need("position", position);
    let color = cells.name("color");
    let abbreviation = cells.name("abbreviation");
    let swatch = match cells.text("swatch") {
        text if is_swatch(text) || text.is_empty() => Some(text.to_string()),
        text => {
            let message = format!("`{text}` is no color");
            cells.bad("swatch", message, "write six hexadecimal digits, such as `#1f5fbf`");
            None
        }
    };
    let (order, position) = (order?, position?);
    let key = format!("{order} {position}");
    let value =
        StrandColor { order, position, color: color?, abbreviation: abbreviation?, swatch: swatch? };
    Some(Entry { key, aliases: Vec::new(), value })
}

/// Only `#rrggbb` may stand in a page's style.
fn is_swatch(text: &str) -> bool {
    text.strip_prefix('#')
        .is_some_and(|digits| digits.len() == 6 && digits.chars().all(|digit| digit.is_ascii_hexdigit()))
}

fn template(cells: &mut Cells<'_>) -> Option<Entry<CableTemplate>> {
    let key = cells.name("template");
    let order = cells.name("order");
    let tube_size = cells.count("tube_size");
    let tube_size = cells.need("tube_size", tube_size);
    let value = CableTemplate { order: order?, tube_size: tube_size? };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}
