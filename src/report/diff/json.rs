//! The machine's face.

use std::io::{self, Write};

use serde::Serialize;

use super::Difference;

/// The version of the shape.
const SHAPE_VERSION: u32 = 1;

#[derive(Serialize)]
struct Shaped<'d> {
    shape: &'static str,
    version: u32,
    #[serde(flatten)]
    difference: &'d Difference,
}

/// Writes the whole difference.
///
/// # Errors
/// Whatever the writer says.
pub fn write(difference: &Difference, out: &mut impl Write) -> io::Result<()> {
    let shaped = Shaped { shape: "spanwright.diff", version: SHAPE_VERSION, difference };
    serde_json::to_writer_pretty(&mut *out, &shaped).map_err(io::Error::from)?;
    writeln!(out)
}
