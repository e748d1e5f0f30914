//! Every cell that was read as something else than it says, as CSV: nothing is repaired in silence.

use std::io::{self, Write};

use super::safe;
use crate::audit::restore::Restored;
use crate::inventory::Column;

/// Takes one cell: file, line, column, how it was read, as it is written.
pub type Put<'p> = dyn FnMut(&str, u64, Column, &str, &str) -> io::Result<()> + 'p;

/// Writes the cells that `each` hands on.
///
/// # Errors
/// Whatever the writer or `each` says.
pub fn write<E: From<io::Error>>(
    out: &mut dyn Write,
    each: impl FnOnce(&mut Put<'_>) -> Result<(), E>,
) -> Result<(), E> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(["file", "line", "column", "read_as", "written"]).map_err(io::Error::from)?;
    each(&mut |file, line, column, how, raw| {
        let line = line.to_string();
        let cells = [file, &line, column.name(), how, raw];
        writer.write_record(cells.map(|text| safe::text(text).into_owned())).map_err(io::Error::from)
    })?;
    writer.flush()?;
    Ok(())
}

/// The words for a restored name.
pub fn restored(one: &Restored) -> String {
    format!("restored as {}", one.name)
}
