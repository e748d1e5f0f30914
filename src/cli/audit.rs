//! `spanwright audit`: an inventory of ports in, what is wrong and worth fixing out.

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::Arc;

use super::args::Common;
use super::args_audit::{AuditArgs, AuditFormat};
use super::engine;
use super::exit::{self, Failure};
use super::output;
use super::pending::{self, Pending};
use super::progress::Rows;
use super::terminal::{self, Results};
use crate::audit::against::{self, PlanPort};
use crate::audit::run::{Audit, Choice, prepare, run as judge};
use crate::budget::Settings;
use crate::check::Finding;
use crate::check::inventory_rules::facts::Limits;
use crate::check::policy::{Policy, is_meant};
use crate::check::{nearest, registry};
use crate::inventory::{Column, Turn};
use crate::read::inventory::accepted::read_accepted;
use crate::read::inventory::again::Again;
use crate::read::inventory::load::{Inputs, Loaded, load, open_all, reinterpretations};
use crate::read::inventory::policy::read_policy;
use crate::read::inventory::since::{Earlier, read_since};
use crate::read::inventory::{Opened, Trouble};
use crate::read::sources::Sources;
use crate::read::tables;
use crate::report::audit::gather::{Failed, Source, gather};
use crate::report::audit::{
    CsvList, JsonLines, JsonReport, List, Sarif, Summary, Workbook, explain, reinterpreted, write_table,
};
use crate::report::diagnostic;
use crate::tables::Tables;

/// What was read beside the inventory.
struct Beside {
    tables: Arc<Tables>,
    policy: Policy,
    limits: Limits,
    since: Option<Vec<Earlier>>,
    plan: Option<Vec<PlanPort>>,
}

pub(super) fn run(args: &AuditArgs, common: &Common) -> Result<ExitCode, Failure> {
    let mut sources = Sources::default();
    let color = output::error_color(common);
    let mut beside = beside(args, &mut sources).map_err(|t| failure(t, &sources, color))?;
    if let Some(path) = &args.plan {
        beside.plan = Some(planned(path, &args.tables, common)?);
    }
    let inputs = open_all(&args.ports, args.columns.as_ref(), &beside.tables, &mut sources);
    let inputs = inputs.map_err(|trouble| failure(trouble, &sources, color))?;
    if args.explain_columns {
        let text = explain(&inputs, &beside.tables, output::paint(common, false));
        return terminal::print(|out| out.write_all(text.as_bytes())).map(|()| exit::CLEAN);
    }
    let drawn = |trouble| failure(trouble, &sources, color);
    places_of_their_own(args)?;
    let begun = Begun::of(args)?;
    let (loaded, audit) = audited(&inputs, &beside, drawn)?;
    let summary = written(args, begun, &inputs, &loaded, &audit, &beside, drawn)?;
    if args.format == AuditFormat::Table {
        let (paint, width) = (output::paint(common, false), output::width());
        terminal::print(|mut out| write_table(&summary, paint, width, &mut out))?;
    }
    Ok(exit::findings(summary.tally.by_severity()[0] > 0))
}

/// Reads tables, policy and the last run.
fn beside(args: &AuditArgs, sources: &mut Sources) -> Result<Beside, Trouble> {
    let (tables, findings) = tables::load(&args.tables, sources);
    if findings.iter().any(Finding::is_bad_input) {
        return Err(Trouble::Input(findings));
    }
    let mut policy =
        Policy { select: args.select.clone(), ignore: args.ignore.clone(), ..Policy::default() };
    let mut limits = Limits { today: args.date, ..Limits::default() };
    if let Some(path) = &args.config {
        read_policy(path, &mut policy, &mut limits, sources)?;
    }
    if let Some(path) = &args.accepted {
        policy.accepted = read_accepted(path, sources)?;
    }
    let since = args.since.as_ref().map(|path| read_since(path, sources)).transpose()?;
    Ok(Beside { tables, policy, limits, since, plan: None })
}

/// The ports of a plan, judged without statistics.
fn planned(path: &Path, tables: &[PathBuf], common: &Common) -> Result<Vec<PlanPort>, Failure> {
    let color = output::error_color(common);
    let reading = engine::load(path, tables, common);
    let settings = Settings { statistics: false, cross_check: None };
    let (plan, sources) = (reading.plan, reading.sources);
    let judged = engine::judged(plan, reading.tables, reading.findings, &sources, settings, color)?;
    Ok(against::ports(&judged.view()))
}

/// A trouble of reading as the command line says it.
fn failure(trouble: Trouble, sources: &Sources, color: bool) -> Failure {
    match trouble {
        Trouble::Input(findings) => Failure::BadInput(diagnostic::render(&findings, sources, color)),
        Trouble::Io { doing, error } => Failure::Io { doing, error },
    }
}

/// Reads and judges.
fn audited(
    inputs: &Inputs,
    beside: &Beside,
    drawn: impl Fn(Trouble) -> Failure,
) -> Result<(Loaded, Audit), Failure> {
    known_rules(&beside.policy)?;
    let total = inputs.files.iter().map(|file| file.length).sum();
    let progress = Rows::start("reading", total);
    let loaded = load(inputs, &beside.tables, &|bytes, rows| progress.at(bytes, rows));
    let mut loaded = loaded.map_err(&drawn)?;
    progress.step("judging");
    let prepared = prepare(&mut loaded.inventory);
    let choice = Choice {
        tables: &beside.tables,
        limits: &beside.limits,
        policy: &beside.policy,
        plan: beside.plan.as_deref(),
    };
    let mut again = Again::new(inputs, &loaded.places, &loaded.inventory);
    let audit = judge(&loaded.inventory, prepared, choice, &mut again).map_err(&drawn)?;
    for one in &audit.restored {
        let (file, offset) = loaded.places.of(&loaded.inventory, one.row);
        let column = if one.far { Column::FarPort } else { Column::Port };
        loaded.inventory.turns.add(column, Turn::Restored, (file, offset), &one.name);
    }
    Ok((loaded, audit))
}

/// A rule that is selected or left out must exist.
fn known_rules(policy: &Policy) -> Result<(), Failure> {
    for start in policy.select.iter().chain(&policy.ignore) {
        if !registry::ALL.iter().any(|rule| is_meant(start, rule.id)) {
            let near = nearest(start, registry::ALL.iter().map(|rule| rule.id));
            let meant = near.map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
            return Err(Failure::Refused(format!("error: no rule's id begins with `{start}`{meant}\n")));
        }
    }
    Ok(())
}

/// No result may take the place of an input or of another result.
fn places_of_their_own(args: &AuditArgs) -> Result<(), Failure> {
    let beside = [&args.columns, &args.config, &args.accepted, &args.since, &args.plan];
    let inputs = args.ports.iter().chain(beside.into_iter().flatten());
    let mut taken: Vec<(PathBuf, String)> =
        inputs.map(|path| (settled(path), format!("`{}` is read", path.display()))).collect();
    for path in args.out.iter().chain(&args.reinterpreted) {
        let place = settled(path);
        if let Some((_, why)) = taken.iter().find(|(known, _)| *known == place) {
            let shown = path.display();
            return Err(Failure::Refused(format!(
                "error: `{shown}` cannot be written: {why}\n  help: give the result a name of its own\n"
            )));
        }
        taken.push((place, format!("another result goes to `{}`", path.display())));
    }
    Ok(())
}

/// The place that a path means, whether something stands there or not.
fn settled(path: &Path) -> PathBuf {
    let folder = path.parent().filter(|folder| !folder.as_os_str().is_empty());
    let whole = || Some(folder.unwrap_or(Path::new(".")).canonicalize().ok()?.join(path.file_name()?));
    path.canonicalize().ok().or_else(whole).unwrap_or_else(|| path.to_path_buf())
}

/// Lists that are begun: a folder that takes no file is told before an inventory is read for minutes.
struct Begun {
    pending: Vec<Pending>,
    lists: Vec<Box<dyn List>>,
}

impl Begun {
    fn of(args: &AuditArgs) -> Result<Self, Failure> {
        let mut begun = Self { pending: Vec::new(), lists: Vec::new() };
        for path in &args.out {
            let pending = Pending::begin(path)?;
            begun.lists.push(list(path, BufWriter::new(pending.handle()?))?);
            begun.pending.push(pending);
        }
        Ok(begun)
    }
}

/// Writes every list that was asked for, and sums up.
fn written(
    args: &AuditArgs,
    begun: Begun,
    inputs: &Inputs,
    loaded: &Loaded,
    audit: &Audit,
    beside: &Beside,
    drawn: impl Fn(Trouble) -> Failure,
) -> Result<Summary, Failure> {
    let source = Source {
        inputs,
        places: &loaded.places,
        inventory: &loaded.inventory,
        audit,
        tables: &beside.tables,
        policy: &beside.policy,
        since: beside.since.as_deref(),
        today: args.date,
    };
    let Begun { mut pending, mut lists } = begun;
    let out = Results::buffered();
    if let Some(list) =
        terminal(args.format, out).map_err(Failure::io("writing the result to standard output"))?
    {
        lists.push(list);
    }
    let doing = || names(&args.out);
    let summary = gather(&source, &mut lists).map_err(|failed| match failed {
        Failed::Reading(trouble) => drawn(trouble),
        Failed::Writing(error) => Failure::io(doing())(error),
    })?;
    for list in lists {
        list.finish(&summary).map_err(Failure::io(doing()))?;
    }
    if let Some(path) = &args.reinterpreted {
        pending.push(cells(path, inputs, loaded, audit, &drawn)?);
    }
    inputs.files.iter().try_for_each(Opened::is_unchanged).map_err(&drawn)?;
    pending::keep(pending)?;
    Ok(summary)
}

fn names(paths: &[PathBuf]) -> String {
    let names: Vec<String> = paths.iter().map(|path| path.display().to_string()).collect();
    if names.is_empty() {
        "writing the result to standard output".to_string()
    } else {
        format!("writing {}", names.join(", "))
    }
}

/// The list that a file's ending asks for.
fn list(path: &Path, out: BufWriter<File>) -> Result<Box<dyn List>, Failure> {
    let ending = path.extension().map(|e| e.to_string_lossy().to_lowercase()).unwrap_or_default();
    let failed = Failure::io(format!("writing {}", path.display()));
    Ok(match ending.as_str() {
        "csv" => Box::new(CsvList::new(out).map_err(failed)?),
        "jsonl" | "ndjson" => Box::new(JsonLines::new(out)),
        "json" => Box::new(JsonReport::new(out).map_err(failed)?),
        "sarif" => Box::new(Sarif::new(out).map_err(failed)?),
        "xlsx" => Box::new(Workbook::new(out).map_err(failed)?),
        _ => {
            let shown = path.display();
            let text =
                format!("error: `{shown}`: expected an ending .csv, .xlsx, .jsonl, .json or .sarif\n");
            return Err(Failure::Refused(text));
        }
    })
}

/// The list that goes to the terminal.
fn terminal(format: AuditFormat, out: BufWriter<Results>) -> io::Result<Option<Box<dyn List>>> {
    Ok(match format {
        AuditFormat::Table => None,
        AuditFormat::Json => Some(Box::new(JsonReport::new(out)?)),
        AuditFormat::Jsonl => Some(Box::new(JsonLines::new(out))),
        AuditFormat::Csv => Some(Box::new(CsvList::new(out)?)),
        AuditFormat::Sarif => Some(Box::new(Sarif::new(out)?)),
    })
}

/// Either the input cannot be read again, or the list cannot be written.
enum CellFailure {
    Reading(Trouble),
    Writing(io::Error),
}

impl From<Trouble> for CellFailure {
    fn from(trouble: Trouble) -> Self {
        Self::Reading(trouble)
    }
}

impl From<io::Error> for CellFailure {
    fn from(error: io::Error) -> Self {
        Self::Writing(error)
    }
}

/// Writes every cell that was read as something else than it says.
fn cells(
    path: &Path,
    inputs: &Inputs,
    loaded: &Loaded,
    audit: &Audit,
    drawn: &impl Fn(Trouble) -> Failure,
) -> Result<Pending, Failure> {
    let pending = Pending::begin(path)?;
    let mut again = Again::new(inputs, &loaded.places, &loaded.inventory);
    let mut restored = Again::new(inputs, &loaded.places, &loaded.inventory);
    let mut out = BufWriter::new(pending.file());
    let done = reinterpreted::write::<CellFailure>(&mut out, |put| {
        reinterpretations(inputs, |file, cell| {
            let (name, line) = again.place(file, cell.offset)?;
            put(&name, line, cell.column, cell.turn.words(), &cell.raw)?;
            Ok::<(), CellFailure>(())
        })?;
        for one in &audit.restored {
            let row = restored.row(one.row)?;
            let column = if one.far { Column::FarPort } else { Column::Port };
            put(&row.file, row.line, column, &reinterpreted::restored(one), row.cell(column))?;
        }
        Ok(())
    });
    done.and_then(|()| Ok(out.flush()?)).map_err(|failed| match failed {
        CellFailure::Reading(trouble) => drawn(trouble),
        CellFailure::Writing(error) => Failure::io(format!("writing {}", path.display()))(error),
    })?;
    drop(out);
    Ok(pending)
}
