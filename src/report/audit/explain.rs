//! How the heads of the inputs were understood, before anything is trusted.

use crate::inventory::{Column, measure};
use crate::read::inventory::load::Inputs;
use crate::read::inventory::{HeadUse, Layout, Opened};
use crate::report::grid::{Lean, grid, harmless};
use crate::report::paint::Paint;
use crate::tables::Tables;

/// The heads of every input with the columns they stand for.
pub fn explain(inputs: &Inputs, tables: &Tables, paint: Paint) -> String {
    let heads = [
        ("head", Lean::Left),
        ("column", Lean::Left),
        ("unit", Lean::Left),
        ("first cell", Lean::Left),
        ("meaning", Lean::Left),
    ];
    let mut text = String::new();
    for (file, layout) in inputs.files.iter().zip(&inputs.layouts) {
        text.push_str(&paint.strong(&title(file, layout)));
        text.push('\n');
        let rows: Vec<Vec<String>> = layout.heads.iter().map(|head| row(head, layout, tables)).collect();
        text.push_str(&grid(&heads, &rows, paint));
        text.push('\n');
    }
    for one in &inputs.left_out {
        text.push_str(&format!("{} left out: {}\n", harmless(&one.name), one.why));
    }
    text
}

/// Where the heads of a file stand, and how its cells are told apart; those of a sheet are none of a text.
fn title(file: &Opened, layout: &Layout) -> String {
    let parted = match layout.delimiter {
        _ if file.is_sheet() => file.dress.clone(),
        b'\t' => "cells parted by tabs".to_string(),
        other => format!("cells parted by `{}`", char::from(other)),
    };
    let dress = if file.dress.is_empty() || file.is_sheet() {
        String::new()
    } else {
        format!(", {}", file.dress)
    };
    format!("{}: heads in line {}, {parted}{dress}", harmless(&file.name), layout.header_line)
}

/// One head and what it is taken for.
fn row(head: &HeadUse, layout: &Layout, tables: &Tables) -> Vec<String> {
    let name = head.column.map_or("(not used)", Column::name);
    let known = tables.inventory_columns.get(name);
    let usual = known.map_or("", |row| row.value.unit.as_str());
    let unit = if head.unit.is_empty() { usual } else { &head.unit };
    let meaning = match head.doubled {
        Some(column) => {
            let used = layout.heads.iter().find(|other| other.column == Some(column));
            format!("{} is read from `{}`", column.name(), used.map_or("", |used| &used.head))
        }
        None => known.map(|row| row.value.meaning.clone()).unwrap_or_default(),
    };
    vec![
        head.head.clone(),
        name.to_string(),
        measure::spelled(unit).unwrap_or(unit).to_string(),
        head.example.clone(),
        meaning,
    ]
}
