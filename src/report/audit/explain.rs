//! How the heads of the inputs were understood, before anything is trusted.

use crate::read::inventory::load::Inputs;
use crate::report::grid::{Lean, grid};
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
        let delimiter = match layout.delimiter {
            b'\t' => "tabs".to_string(),
            other => format!("`{}`", char::from(other)),
        };
        let dress = if file.dress.is_empty() { String::new() } else { format!(", {}", file.dress) };
        let title = format!(
            "{}: heads in line {}, cells parted by {delimiter}{dress}",
            file.name, layout.header_line
        );
        text.push_str(&paint.strong(&title));
        text.push('\n');
        let rows: Vec<Vec<String>> = layout
            .heads
            .iter()
            .map(|head| {
                let name = head.column.map_or("(not used)", |column| column.name());
                let row = tables.inventory_columns.get(name);
                let unit = if head.unit.is_empty() {
                    row.map_or("", |row| row.value.unit.as_str())
                } else {
                    head.unit.as_str()
                };
                let meaning = row.map_or("", |row| row.value.meaning.as_str());
                vec![
                    head.head.clone(),
                    name.to_string(),
                    unit.to_string(),
                    head.example.clone(),
                    meaning.to_string(),
                ]
            })
            .collect();
        text.push_str(&grid(&heads, &rows, paint));
        text.push('\n');
    }
    text
}
