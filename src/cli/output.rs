//! Where results go: the terminal, or a file that is written whole or not at all.

use std::io::{self, BufWriter, IsTerminal, Write};
use std::path::Path;

use super::args::{Color, Common, Format, OutputArgs};
use super::exit::Failure;
use super::pending::{self, Pending};
use super::terminal;
use crate::report::budget::{Budget, write_csv, write_json, write_table};
use crate::report::paint::Paint;

/// Columns that text is wrapped to where the terminal does not say.
const USUAL_WIDTH: usize = 100;

/// The paint for standard output (or a file, which is never colored).
pub(super) fn paint(common: &Common, to_file: bool) -> Paint {
    let color = match common.color {
        Color::Always => true,
        Color::Never => false,
        Color::Auto => !to_file && wants_color(io::stdout().is_terminal()),
    };
    Paint { color }
}

/// The paint for messages on standard error.
pub(super) fn error_color(common: &Common) -> bool {
    match common.color {
        Color::Always => true,
        Color::Never => false,
        Color::Auto => wants_color(io::stderr().is_terminal()),
    }
}

/// `NO_COLOR` with any content but the empty one turns color off (an informal standard).
fn wants_color(terminal: bool) -> bool {
    terminal && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty())
}

/// Columns to wrap running text to.
pub(super) fn width() -> usize {
    let columns = std::env::var("COLUMNS").ok().and_then(|text| text.parse().ok());
    columns.unwrap_or(USUAL_WIDTH).clamp(60, 140)
}

/// Writes a judged plan in the form and to the place the arguments say.
pub(super) fn write_budget(
    budget: &Budget<'_>,
    args: &OutputArgs,
    common: &Common,
) -> Result<(), Failure> {
    let paint = paint(common, args.out.is_some());
    write(args, |mut out| match args.format {
        Format::Table => write_table(budget, paint, &mut out),
        Format::Json => write_json(budget, &mut out),
        Format::Csv => write_csv(budget, &mut out),
    })
}

/// Writes a result to where the arguments say.
pub(super) fn write(
    args: &OutputArgs,
    body: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    write_to(args.out.as_deref(), body)
}

/// Writes a result to a file, or to standard output without one.
pub(super) fn write_to(
    file: Option<&Path>,
    body: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    match file {
        Some(path) => write_file(path, body),
        None => terminal::print(body),
    }
}

/// Writes a file beside its place and moves it there when it is whole.
pub(super) fn write_file(
    path: &Path,
    body: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    pending::keep(vec![written(path, body)?])
}

/// Writes a file beside its place; it is whole, and can be moved there.
pub(super) fn written(
    path: &Path,
    body: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<Pending, Failure> {
    let pending = Pending::begin(path)?;
    let mut out = BufWriter::new(pending.file());
    let written = body(&mut out).and_then(|()| out.flush());
    drop(out);
    written.map_err(Failure::io(format!("writing {}", path.display())))?;
    Ok(pending)
}
