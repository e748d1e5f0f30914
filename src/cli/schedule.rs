//! `spanwright schedule`: the sheets crews work from.

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
use crate::report::schedule::{
    Options, Schedule, schedule, write_closure_cards, write_csv, write_light_cards, write_xlsx,
};
use crate::tables::Tables;

pub(super) fn run(args: &ScheduleArgs, common: &Common) -> Result<ExitCode, Failure> {
    let prepared = Prepared::load(&args.plan, &args.judge, common)?;
    let options = options(args, &prepared.judged.tables, &prepared.judged.plan.cables)?;
    let document = prepared.document(&args.sheet);
    let made = schedule(&document, &options);
    let (shown, hash) = (args.out.display(), document.identity.short_hash());
    if args.out.extension().is_some_and(|end| end.eq_ignore_ascii_case("xlsx")) {
        pending::keep(vec![book(&args.out, &document, &made)?])?;
        terminal::tell(&format!("wrote {shown} (plan {hash})"))?;
    } else {
        let files = write_folder(&args.out, &document, &made)?;
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

fn book(file: &Path, document: &Document<'_>, made: &Schedule) -> Result<Pending, Failure> {
    written(file, |mut out| write_xlsx(made, &document.identity, document.lengths, &mut out))
}

/// Writes the workbook, every sheet as CSV, and the cards; returns how many files.
fn write_folder(folder: &Path, document: &Document<'_>, made: &Schedule) -> Result<usize, Failure> {
    let doing = format!("making the folder {}", folder.display());
    std::fs::create_dir_all(folder).map_err(Failure::io(doing))?;
    // All are written before one is moved: sheets of two states of a plan side by side would mislead.
    let mut whole = vec![book(&folder.join("schedule.xlsx"), document, made)?];
    for sheet in &made.sheets {
        let file = folder.join(format!("{}.csv", sheet.name));
        whole.push(written(&file, |mut out| write_csv(sheet, &document.identity, &mut out))?);
    }
    let cards = folder.join("closure-cards.html");
    whole.push(written(&cards, |mut out| write_closure_cards(document, made, &mut out))?);
    let cards = folder.join("light-cards.html");
    whole.push(written(&cards, |mut out| write_light_cards(document, made, &mut out))?);
    let count = whole.len();
    pending::keep(whole)?;
    Ok(count)
}
