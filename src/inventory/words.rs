//! One row as it was written, for findings.

use super::column::{COLUMNS, Column};

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

    /// Site and port as people say it.
    pub fn name(&self) -> String {
        let (site, port) = (self.cell(Column::Site), self.cell(Column::Port));
        let mut name = site.to_string();
        let parts = [Column::Shelf, Column::Slot];
        if !port.contains(|c: char| !c.is_alphanumeric()) {
            for part in parts.map(|column| self.cell(column)).iter().filter(|part| !part.is_empty()) {
                name = format!("{name} {part}");
            }
        }
        format!("{name} {port}").trim().to_string()
    }

    /// The far end as people say it.
    pub fn far_name(&self) -> String {
        let end = self.cell(Column::FarEnd);
        if !end.is_empty() {
            return end.to_string();
        }
        format!("{} {}", self.cell(Column::FarSite), self.cell(Column::FarPort)).trim().to_string()
    }
}
