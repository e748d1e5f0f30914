//! Where results go: the terminal, or a file that is written whole or not at all.

use std::io::{self, BufWriter, IsTerminal, Write};
use std::path::Path;

use super::args::{Color, Common, Format, OutputArgs};
use super::exit::Failure;
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
        None => {
            let mut out = BufWriter::new(io::stdout().lock());
            body(&mut out).and_then(|()| out.flush()).map_err(Failure::io("writing the result"))
        }
    }
}

/// Writes a file beside its place and moves it there when it is whole.
pub(super) fn write_file(
    path: &Path,
    body: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), Failure> {
    let doing = || format!("writing {}", path.display());
    let mut out = BufWriter::new(beside(path)?);
    body(&mut out).map_err(Failure::io(doing()))?;
    let file = out.into_inner().map_err(|error| Failure::io(doing())(error.into_error()))?;
    file.persist(path).map_err(|error| Failure::io(doing())(error.error))?;
    Ok(())
}

/// A temporary file in the folder of a file, to be moved to its place when it is whole.
pub(super) fn beside(path: &Path) -> Result<tempfile::NamedTempFile, Failure> {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let folder = folder.unwrap_or_else(|| Path::new("."));
    temporary().tempfile_in(folder).map_err(|error| {
        // The temporary name is of no use to anybody.
        Failure::io(format!("writing {}", path.display()))(std::io::Error::new(
            error.kind(),
            format!("no file can be made in {}", folder.display()),
        ))
    })
}

/// A temporary file that others may read as they may read any new file.
fn temporary() -> tempfile::Builder<'static, 'static> {
    let mut builder = tempfile::Builder::new();
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(std::fs::Permissions::from_mode(0o666));
    }
    builder.prefix(".spanwright-");
    builder
}
