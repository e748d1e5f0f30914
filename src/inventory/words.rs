//! One row as it was written, for findings.

use super::column::{COLUMNS, Column};
use super::measure::Measure;
use super::name;
use super::number::Reading;

/// The cells of one row by column, as written, without the blanks around them.
#[derive(Debug, Clone, Default)]
pub struct WrittenRow {
    cells: Vec<String>,
    /// Name of the file.
    pub file: String,
    /// Line in the file, or row of the sheet; 0 = not known.
    pub line: u64,
    /// Cells of the row and heads of the file, where the numbers differ.
    pub width: Option<(usize, usize)>,
    /// The columns of numbers that the file has, as their heads say them.
    pub measures: Vec<(Column, Measure)>,
}

impl WrittenRow {
    /// Puts a cell.
    pub fn put(&mut self, column: Column, text: &str) {
        if self.cells.is_empty() {
            self.cells.resize(COLUMNS.len(), String::new());
        }
        self.cells[column as usize] = text.trim().to_string();
    }

    /// A cell; empty when the file does not have the column.
    pub fn cell(&self, column: Column) -> &str {
        self.cells.get(column as usize).map_or("", String::as_str)
    }

    /// What a cell of a column of numbers says, in the unit of its head; `None` for other columns.
    pub fn reading(&self, column: Column) -> Option<Reading> {
        let (_, measure) = self.measures.iter().find(|(known, _)| *known == column)?;
        Some(measure.read(self.cell(column)))
    }

    /// Site and port as people say it.
    pub fn name(&self) -> String {
        let (site, port) = (self.cell(Column::Site), self.cell(Column::Port));
        let mut said = site.to_string();
        let parts = [Column::Shelf, Column::Slot];
        // Two numbers mostly say slot and port; one alone says too little.
        if name::push_port(port.as_bytes(), &mut Vec::new()) < 2 {
            for part in parts.map(|column| self.cell(column)).iter().filter(|part| !part.is_empty()) {
                said = format!("{said} {part}");
            }
        }
        format!("{said} {port}").trim().to_string()
    }

    /// The far end as people say it.
    pub fn far_name(&self) -> String {
        let end = self.cell(Column::FarEnd);
        if !end.is_empty() {
            return end.to_string();
        }
        let port = self.cell(Column::FarPort);
        // A port with two numbers names shelf and slot itself.
        let whole = super::name::push_port(port.as_bytes(), &mut Vec::new()) >= 2;
        let behind = |column| if whole { "" } else { self.cell(column) };
        let words =
            [self.cell(Column::FarSite), behind(Column::FarShelf), behind(Column::FarSlot), port];
        let words = words.into_iter().filter(|word| !word.is_empty());
        words.collect::<Vec<_>>().join(" ")
    }
}
