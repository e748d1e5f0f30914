//! `spanwright schedule`: the sheets crews work from.

use std::io;
use std::panic::{self, AssertUnwindSafe};
use std::path::Path;
use std::process::ExitCode;

use super::args::Common;
use super::args_report::ScheduleArgs;
use super::document::Prepared;
use super::exit::{self, Failure};
use super::output::written;
use super::pending::{self, Pending};
use super::terminal;
use crate::check::nearest;
use crate::report::document::Document;
use crate::report::schedule::{Book, Cards, Options, Schedule, write_csv};
use crate::tables::Tables;

pub(super) fn run(args: &ScheduleArgs, common: &Common) -> Result<ExitCode, Failure> {
    let prepared = Prepared::load(&args.plan, &args.judge, common)?;
    let options = options(args, &prepared.judged.tables, &prepared.judged.plan.cables)?;
    let document = prepared.document(&args.sheet);
    let schedule = Schedule::new(&document, &options);
    let (shown, hash) = (args.out.display(), document.identity.short_hash());
    if args.out.extension().is_some_and(|end| end.eq_ignore_ascii_case("xlsx")) {
        pending::keep(vec![book(&args.out, &document, &schedule)?])?;
        terminal::tell(&format!("wrote {shown} (plan {hash})"))?;
    } else {
        let files = write_folder(&args.out, &document, &schedule)?;
        terminal::tell(&format!("wrote {files} files to {shown} (plan {hash})"))?;
    }
    Ok(exit::findings(prepared.has_errors()))
}

/// What was typed, checked against the tables and the plan.
fn options(args: &ScheduleArgs, tables: &Tables, cables: &[String]) -> Result<Options, Failure> {
    let mut faults = String::new();
    let named = std::iter::once(&args.cable_template).chain(args.cable.iter().map(|(_, name)| name));
    for name in named.filter(|name| tables.cable_templates.find(name).is_none()) {
        let known: Vec<&str> =
            tables.cable_templates.rows().iter().map(|row| row.key.as_str()).collect();
        let meant = match nearest(name, known.iter().copied()) {
            Some(near) => format!("did you mean `{near}`?"),
            None => format!("known are {}", known.join(", ")),
        };
        faults.push_str(&format!("error: no row of cable-templates is called `{name}`; {meant}\n"));
    }
    for (cable, _) in args.cable.iter().filter(|(cable, _)| !cables.contains(cable)) {
        let meant = nearest(cable, cables.iter().map(String::as_str))
            .map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
        faults.push_str(&format!("error: the plan has no cable `{cable}`{meant}\n"));
    }
    if args.reel.value() <= 0.0 {
        faults.push_str("error: a reel holds some cable; write a length such as `4 km`\n");
    }
    if faults.is_empty() {
        return Ok(Options {
            template: args.cable_template.clone(),
            templates: args.cable.iter().cloned().collect(),
            reel: args.reel,
            waste: args.waste,
        });
    }
    Err(Failure::Refused(faults))
}

fn book(file: &Path, document: &Document<'_>, schedule: &Schedule<'_>) -> Result<Pending, Failure> {
    let doing = || format!("writing {}", file.display());
    let bound = || {
        let mut book = Book::begin(&document.identity, document.lengths)?;
        schedule.sheets().try_for_each(|sheet| book.add(&sheet))?;
        Ok(book)
    };
    let book = without_panic(bound).map_err(Failure::io(doing()))?;
    written(file, |mut out| without_panic(|| book.write(&mut out)))
}

/// Writes every sheet as CSV, the cards, and the workbook; returns how many files. One sheet after the
/// other is made, written to all its files and forgotten.
fn write_folder(
    folder: &Path,
    document: &Document<'_>,
    schedule: &Schedule<'_>,
) -> Result<usize, Failure> {
    let doing = format!("making the folder {}", folder.display());
    std::fs::create_dir_all(folder).map_err(Failure::io(doing))?;
    let bound = folder.join("schedule.xlsx");
    let doing = || format!("writing {}", bound.display());
    let mut book = Book::begin(&document.identity, document.lengths).map_err(Failure::io(doing()))?;
    // All are written before one is moved: sheets of two states of a plan side by side would mislead.
    let mut whole = Vec::new();
    for sheet in schedule.sheets() {
        let file = folder.join(format!("{}.csv", sheet.name));
        whole.push(written(&file, |mut out| write_csv(&sheet, &document.identity, &mut out))?);
        if let Some(cards) = Cards::of(&sheet) {
            let file = folder.join(cards.file());
            whole.push(written(&file, |mut out| cards.write(schedule, &sheet, &mut out))?);
        }
        without_panic(|| book.add(&sheet)).map_err(Failure::io(doing()))?;
    }
    whole.push(written(&bound, |mut out| without_panic(|| book.write(&mut out)))?);
    let count = whole.len();
    pending::keep(whole)?;
    Ok(count)
}

/// Does what ends with a panic where a temporary file takes no more; then it is an error like any other,
/// and nothing is drawn of the panic.
fn without_panic<R>(body: impl FnOnce() -> io::Result<R>) -> io::Result<R> {
    let told = panic::take_hook();
    panic::set_hook(Box::new(|_| {}));
    let done = panic::catch_unwind(AssertUnwindSafe(body));
    panic::set_hook(told);
    done.unwrap_or_else(|_| {
        let folder = std::env::temp_dir();
        let why = format!("a temporary file in {} (TMPDIR) takes no more", folder.display());
        Err(io::Error::other(why))
    })
}
