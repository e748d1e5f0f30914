//! A sheet as CSV. Every row carries revision and hash of the plan: a row that was cut out and mailed
//! still says what it belongs to.

use std::io::{self, Write};

use super::sheet::{Cell, Sheet};
use crate::report::budget::as_text;
use crate::report::document::Identity;

/// Writes one sheet.
///
/// # Errors
/// Whatever the writer says.
pub fn write(sheet: &Sheet, identity: &Identity, out: &mut impl Write) -> io::Result<()> {
    let mut csv = csv::Writer::from_writer(out);
    let heads = sheet.columns.iter().map(|column| column.head.as_str());
    csv.write_record(heads.chain(["revision", "plan"]))?;
    let foot = [as_text(&identity.revision), identity.short_hash().to_string()];
    for row in &sheet.rows {
        let cells = row.iter().map(|cell| match cell {
            Cell::Text(text) => as_text(text),
            other => other.shown(),
        });
        csv.write_record(cells.chain(foot.iter().cloned()))?;
    }
    csv.flush()
}
