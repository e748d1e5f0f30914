//! Workbooks: each sheet becomes lines of CSV in a temporary file, one line for each row of the sheet,
//! so that a line number is the number of the row.

use std::fs::File;
use std::io::{BufReader, Write};

use calamine::{Data, Reader, Xlsx, open_workbook_from_rs};

use super::open::{Opened, finish, spool};
use super::{SHEET, Trouble};
use crate::check::plan_rules::{encoding, too_large};
use crate::place::{FileId, Origin};
use crate::read::limits;
use crate::read::sources::Sources;

/// What is said of a sheet.
pub(super) const DRESS: &str = "workbook";

/// Opens every sheet.
pub(super) fn open(
    file: File,
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
    let broken = |error: calamine::XlsxError| -> Trouble {
        let message = format!("`{name}` cannot be read as a workbook: {error}");
        encoding::RULE.hit(at, name, message).hint("save the sheet as CSV").into()
    };
    let mut book: Xlsx<_> = open_workbook_from_rs(BufReader::new(file)).map_err(broken)?;
    let mut sheets = Vec::new();
    for sheet in book.sheet_names() {
        let range = book.worksheet_range(&sheet).map_err(broken)?;
        // An empty sheet becomes an empty text, and is told as one.
        let (first_row, first_column) = range.start().unwrap_or_default();
        let mut out = spool()?;
        let mut write =
            |text: &str| out.write_all(text.as_bytes()).map_err(Trouble::io("writing a temporary file"));
        for _ in 0..first_row {
            write("\n")?;
        }
        for row in range.rows() {
            write(&line(row, first_column))?;
        }
        let file = finish(out)?;
        let meta = file.metadata().map_err(Trouble::io("reading a temporary file"))?;
        let (length, modified) = (meta.len(), meta.modified().ok());
        let name = format!("{name}{SHEET}{sheet}");
        let file_id = sources.add(&name, String::new());
        let dress = DRESS.to_string();
        sheets.push(Opened { name, file_id, file, start: 0, length, modified, dress });
    }
    Ok(sheets)
}

fn line(row: &[Data], first_column: u32) -> String {
    let mut text = ",".repeat(first_column as usize);
    for (index, cell) in row.iter().enumerate() {
        if index > 0 {
            text.push(',');
        }
        // A line end within a cell would part the row.
        let written = cell_text(cell).replace(['\r', '\n'], " ");
        if written.contains([',', '"']) {
            text.push('"');
            text.push_str(&written.replace('"', "\"\""));
            text.push('"');
        } else {
            text.push_str(&written);
        }
    }
    text.push('\n');
    text
}

fn cell_text(cell: &Data) -> String {
    match cell {
        Data::Empty => String::new(),
        Data::String(text) | Data::DateTimeIso(text) | Data::DurationIso(text) => text.clone(),
        Data::Float(number) => number.to_string(),
        Data::Int(number) => number.to_string(),
        Data::Bool(truth) => truth.to_string(),
        Data::DateTime(moment) => {
            let days = moment.as_f64().floor() as i64 - crate::inventory::date::SHEET_DAY_OF_2000;
            crate::inventory::date::written(days)
        }
        Data::Error(error) => format!("#{error:?}"),
    }
}
