//! Reference tables as people and machines read them.

use serde_json::{Map, Value};

use super::budget::as_text;
use super::grid::{Lean, grid, visible_lines};
use super::paint::Paint;
use crate::place::Files;
use crate::tables::{Table, Tables};

/// A table freed of its row type: heads and cells as written.
#[derive(Debug, Clone)]
pub struct PlainTable<'t> {
    /// The file's name without its ending.
    pub name: &'static str,
    /// Heads of the columns.
    pub columns: &'t [String],
    /// Cells of each row, and where the row was stated.
    pub rows: Vec<(&'t [String], String)>,
}

/// Every table, freed of its row type.
pub fn plain<'t>(tables: &'t Tables, files: &Files) -> Vec<PlainTable<'t>> {
    vec![
        one(&tables.attenuators, files),
        one(&tables.breakouts, files),
        one(&tables.cages, files),
        one(&tables.cards, files),
        one(&tables.coexistences, files),
        one(&tables.cable_templates, files),
        one(&tables.connectors, files),
        one(&tables.electrical_words, files),
        one(&tables.attenuation, files),
        one(&tables.dispersion_points, files),
        one(&tables.transitions, files),
        one(&tables.fibers, files),
        one(&tables.form_factors, files),
        one(&tables.hazard_levels, files),
        one(&tables.interface_aliases, files),
        one(&tables.interfaces, files),
        one(&tables.inventory_columns, files),
        one(&tables.module_codes, files),
        one(&tables.optic_spreads, files),
        one(&tables.polishes, files),
        one(&tables.pon_classes, files),
        one(&tables.power_classes, files),
        one(&tables.splices, files),
        one(&tables.splitters, files),
        one(&tables.strand_colors, files),
        one(&tables.taps, files),
        one(&tables.temperature_ranges, files),
        one(&tables.wdm_elements, files),
    ]
}

fn one<'t, T>(table: &'t Table<T>, files: &Files) -> PlainTable<'t> {
    let rows =
        table.rows().iter().map(|row| (row.cells.as_slice(), files.describe(row.origin))).collect();
    PlainTable { name: table.name, columns: &table.columns, rows }
}

/// The names of all tables with their number of rows and of rows by provenance.
pub fn list(tables: &[PlainTable<'_>], paint: Paint) -> String {
    let heads = [
        ("table", Lean::Left),
        ("rows", Lean::Right),
        ("published", Lean::Right),
        ("common practice", Lean::Right),
        ("memory", Lean::Right),
        ("other", Lean::Right),
    ];
    let rows: Vec<Vec<String>> = tables.iter().map(counts).collect();
    grid(&heads, &rows, paint)
}

fn counts(table: &PlainTable<'_>) -> Vec<String> {
    let column = table.columns.iter().position(|head| head == "provenance");
    let count = |word: &str| {
        let rows = table.rows.iter();
        rows.filter(|(cells, _)| column.and_then(|c| cells.get(c)).is_some_and(|cell| cell == word))
            .count()
    };
    let known = [count("published"), count("common-practice"), count("memory")];
    let mut row = vec![table.name.to_string(), table.rows.len().to_string()];
    row.extend(known.iter().map(ToString::to_string));
    row.push((table.rows.len() - known.iter().sum::<usize>()).to_string());
    row
}

/// One table for people: a wide table is drawn row by row, head beside cell, without empty cells.
pub fn draw(table: &PlainTable<'_>, paint: Paint) -> String {
    const WIDE: usize = 14;
    if table.columns.len() > WIDE {
        return draw_rows(table, paint);
    }
    let numeric = |column: usize| {
        let cells =
            table.rows.iter().filter_map(|(cells, _)| cells.get(column)).filter(|cell| !cell.is_empty());
        cells.clone().count() > 0 && cells.clone().all(|cell| cell.parse::<f64>().is_ok())
    };
    let heads: Vec<(&str, Lean)> = table
        .columns
        .iter()
        .enumerate()
        .map(|(index, head)| (head.as_str(), if numeric(index) { Lean::Right } else { Lean::Left }))
        .collect();
    let rows: Vec<Vec<String>> = table.rows.iter().map(|(cells, _)| cells.to_vec()).collect();
    grid(&heads, &rows, paint)
}

fn draw_rows(table: &PlainTable<'_>, paint: Paint) -> String {
    let mut text = String::new();
    for (cells, origin) in &table.rows {
        let key = cells.iter().take(2).map(|cell| visible_lines(cell)).collect::<Vec<_>>().join(" ");
        text.push_str(&format!("{}  {}\n", paint.strong(&key), paint.faint(&visible_lines(origin))));
        for (head, cell) in table.columns.iter().zip(cells.iter()).filter(|(_, cell)| !cell.is_empty()) {
            text.push_str(&format!("  {head:<32}{}\n", visible_lines(cell)));
        }
    }
    text
}

/// One table as JSON: an object a row.
pub fn json(table: &PlainTable<'_>) -> Value {
    let rows = table.rows.iter().map(|(cells, origin)| {
        let mut row = Map::new();
        for (head, cell) in table.columns.iter().zip(cells.iter()) {
            row.insert(head.clone(), value(cell));
        }
        row.insert("file".to_string(), Value::from(origin.clone()));
        Value::from(row)
    });
    serde_json::json!({ "shape": "spanwright.table", "version": 1, "table": table.name, "rows": rows.collect::<Vec<_>>() })
}

/// Numbers as numbers, empty cells as null, the rest as text.
fn value(cell: &str) -> Value {
    if cell.is_empty() {
        return Value::Null;
    }
    cell.parse::<f64>()
        .ok()
        .filter(|number| number.is_finite())
        .map_or_else(|| Value::from(cell), Value::from)
}

/// One table as CSV.
///
/// # Errors
/// Whatever the writer says.
pub fn csv(table: &PlainTable<'_>, out: &mut impl std::io::Write) -> std::io::Result<()> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(table.columns)?;
    for (cells, _) in &table.rows {
        writer.write_record(
            cells.iter().map(
                |cell| {
                    if cell.parse::<f64>().is_ok() { cell.clone() } else { as_text(cell) }
                },
            ),
        )?;
    }
    writer.flush()
}
