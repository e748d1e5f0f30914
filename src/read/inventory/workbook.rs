//! Workbooks: each sheet becomes lines of CSV in a temporary file, one line for each row of the sheet,
//! so that a line number is the number of the row. Cells are taken one after the other: a sheet costs what
//! stands in it, not what lies between.

use std::fs::File;
use std::io::{BufReader, BufWriter, Seek, SeekFrom, Write};

use calamine::{DataRef, Reader, Xlsx, XlsxError, open_workbook_from_rs};

use super::open::{Opened, finish, spool};
use super::{SHEET, Trouble, archive};
use crate::check::Finding;
use crate::check::plan_rules::{encoding, too_large};
use crate::place::{FileId, Origin};
use crate::read::limits;
use crate::read::sources::Sources;

/// What is said of a sheet.
pub(super) const DRESS: &str = "workbook";

/// Columns without a cell behind which the rest of a sheet is no part of its table.
const FAR: u32 = 256;

/// A workbook under reading.
struct Book<'n> {
    name: &'n str,
    at: Origin,
    cells: Xlsx<BufReader<File>>,
}

/// Opens every sheet.
pub(super) fn open(
    mut file: File,
    name: &str,
    id: FileId,
    sources: &mut Sources,
) -> Result<Vec<Opened>, Trouble> {
    let at = Origin::whole(id);
    let length = file.metadata().map_err(Trouble::io(format!("reading {name}")))?.len();
    if length > limits::WORKBOOK_BYTES {
        let most = limits::WORKBOOK_BYTES / 1_000_000;
        let message = format!("`{name}` is larger than {most} MB, the most of a workbook that is read");
        return Err(too_large::RULE.hit(at, name, message).hint("save the sheet as CSV").into());
    }
    archive::look(&mut file, name, at)?;
    file.seek(SeekFrom::Start(0)).map_err(Trouble::io(format!("reading {name}")))?;
    let cells = open_workbook_from_rs(BufReader::new(file)).map_err(|error| broken(name, at, &error))?;
    let mut book = Book { name, at, cells };
    let mut sheets = Vec::new();
    for sheet in book.cells.sheet_names() {
        let Some(width) = book.width(&sheet)? else { continue };
        let file = book.lines(&sheet, width.read)?;
        let meta = file.metadata().map_err(Trouble::io("reading a temporary file"))?;
        let (length, modified) = (meta.len(), meta.modified().ok());
        let name = format!("{name}{SHEET}{sheet}");
        let file_id = sources.add(&name, String::new());
        let dress = DRESS.to_string();
        let far = width.far.map(|(row, column)| format!("{name}, cell {}", cell_name(row, column)));
        sheets.push(Opened { name, file_id, file, start: 0, length, modified, dress, far });
    }
    Ok(sheets)
}

fn broken(name: &str, at: Origin, error: &XlsxError) -> Trouble {
    let message = format!("`{name}` cannot be read as a workbook: {error}");
    encoding::RULE.hit(at, name, message).hint("save the sheet as CSV").into()
}

fn large(name: &str, at: Origin, message: &str) -> Finding {
    let finding = too_large::RULE.hit(at, name, format!("`{name}`: {message}"));
    finding.hint("delete what is not of the table, or save the sheet as CSV")
}

/// Columns of a sheet.
struct Width {
    /// Columns that are read.
    read: u32,
    /// Row and column, from 0, of the first cell that lies too far out to be read.
    far: Option<(u32, u32)>,
}

impl Book<'_> {
    /// Which columns hold the table: those up to a gap that nobody leaves by intent. `None` for what is no
    /// sheet of cells, a chart.
    fn width(&mut self, sheet: &str) -> Result<Option<Width>, Trouble> {
        let (name, at) = (self.name, self.at);
        let mut reader = match self.cells.worksheet_cells_reader(sheet) {
            Ok(reader) => reader,
            Err(XlsxError::NotAWorksheet(_)) => return Ok(None),
            Err(error) => return Err(broken(name, at, &error)),
        };
        // For each column the first row in which it holds anything.
        let mut first: Vec<Option<u32>> = Vec::new();
        let mut out_of_bounds = None;
        while let Some(cell) = reader.next_cell().map_err(|error| broken(name, at, &error))? {
            let (row, column) = cell.get_position();
            if is_empty(cell.get_value()) {
                continue;
            }
            if row >= limits::SHEET_ROWS || column >= limits::SHEET_COLUMNS {
                out_of_bounds = Some((row, column));
                break;
            }
            let column = column as usize;
            if first.len() <= column {
                first.resize(column + 1, None);
            }
            first[column] = first[column].or(Some(row));
        }
        if let Some((row, column)) = out_of_bounds {
            let (row, column) = (u64::from(row) + 1, u64::from(column) + 1);
            let message = format!(
                "sheet {sheet} has a cell in row {row}, column {column}; a sheet has at most {} rows and {} \
                 columns",
                limits::SHEET_ROWS,
                limits::SHEET_COLUMNS
            );
            return Err(large(name, at, &message).into());
        }
        let mut width = Width { read: 0, far: None };
        for (column, row) in (0..).zip(&first) {
            let Some(row) = *row else { continue };
            if column > width.read + FAR && width.read > 0 {
                width.far = Some((row, column));
                break;
            }
            width.read = column + 1;
        }
        Ok(Some(width))
    }

    /// The rows as lines of CSV, each as wide as the table; a row without a cell is an empty line.
    fn lines(&mut self, sheet: &str, width: u32) -> Result<File, Trouble> {
        let (name, at) = (self.name, self.at);
        let mut reader =
            self.cells.worksheet_cells_reader(sheet).map_err(|error| broken(name, at, &error))?;
        let mut lines =
            Lines { out: spool()?, text: String::new(), row: 0, columns: 0, width, written: 0 };
        let mut disorder = None;
        while let Some(cell) = reader.next_cell().map_err(|error| broken(name, at, &error))? {
            let place = cell.get_position();
            if is_empty(cell.get_value()) || place.1 >= width {
                continue;
            }
            if !lines.take(place, &cell_text(cell.get_value()))? {
                disorder = Some(place);
                break;
            }
            if lines.written > limits::SPOOL_BYTES {
                return Err(large(name, at, &format!("sheet {sheet} is larger than is read")).into());
            }
        }
        if let Some((row, column)) = disorder {
            let cell = cell_name(row, column);
            let message = format!("`{name}`: cell {cell} of sheet {sheet} stands behind a later one");
            return Err(encoding::RULE.hit(at, name, message).hint("save the workbook again").into());
        }
        lines.end()
    }
}

/// Lines under writing.
struct Lines {
    out: BufWriter<File>,
    text: String,
    row: u32,
    /// Cells of the row so far.
    columns: u32,
    width: u32,
    written: u64,
}

impl Lines {
    /// Takes the next cell; `false` when it should have come earlier.
    fn take(&mut self, (row, column): (u32, u32), written: &str) -> Result<bool, Trouble> {
        if row < self.row || row == self.row && column < self.columns {
            return Ok(false);
        }
        while self.row < row {
            self.end_line()?;
        }
        let parted = if self.columns == 0 { column } else { column + 1 - self.columns };
        self.text.extend(std::iter::repeat_n(',', parted as usize));
        self.columns = column + 1;
        // A line end within a cell would part the row.
        let written = written.replace(['\r', '\n'], " ");
        if written.contains([',', '"']) {
            self.text.push('"');
            self.text.push_str(&written.replace('"', "\"\""));
            self.text.push('"');
        } else {
            self.text.push_str(&written);
        }
        Ok(true)
    }

    fn end_line(&mut self) -> Result<(), Trouble> {
        if self.columns > 0 {
            self.text.extend(std::iter::repeat_n(',', (self.width - self.columns) as usize));
        }
        self.text.push('\n');
        self.written += self.text.len() as u64;
        self.out.write_all(self.text.as_bytes()).map_err(Trouble::temporary("writing"))?;
        self.text.clear();
        self.row += 1;
        self.columns = 0;
        Ok(())
    }

    fn end(mut self) -> Result<File, Trouble> {
        if self.columns > 0 {
            self.end_line()?;
        }
        finish(self.out)
    }
}

/// The name of a cell as sheets show it: `XFD100000`.
fn cell_name(row: u32, column: u32) -> String {
    let mut letters = Vec::new();
    let mut rest = u64::from(column) + 1;
    while rest > 0 {
        letters.push(char::from(b'A' + ((rest - 1) % 26) as u8));
        rest = (rest - 1) / 26;
    }
    format!("{}{}", letters.iter().rev().collect::<String>(), u64::from(row) + 1)
}

fn is_empty(cell: &DataRef<'_>) -> bool {
    match cell {
        DataRef::Empty => true,
        DataRef::String(text) => text.is_empty(),
        DataRef::SharedString(text) => text.is_empty(),
        _ => false,
    }
}

fn cell_text(cell: &DataRef<'_>) -> String {
    match cell {
        DataRef::Empty => String::new(),
        DataRef::String(text) | DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => text.clone(),
        DataRef::SharedString(text) => (*text).to_string(),
        DataRef::Float(number) => number.to_string(),
        DataRef::Int(number) => number.to_string(),
        DataRef::Bool(truth) => truth.to_string(),
        DataRef::DateTime(moment) => {
            let days = moment.as_f64().floor() as i64 - crate::inventory::date::SHEET_DAY_OF_2000;
            crate::inventory::date::written(days)
        }
        DataRef::Error(error) => format!("#{error:?}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ECMA-376 part 1, 18.3.1.99: columns are A to XFD, rows 1 to 1048576.
    #[test]
    fn cells_are_named_as_sheets_name_them() {
        let named = [(0, 0, "A1"), (9, 25, "Z10"), (0, 26, "AA1"), (1_048_575, 16_383, "XFD1048576")];
        for (row, column, name) in named {
            assert_eq!(cell_name(row, column), name);
        }
    }
}
