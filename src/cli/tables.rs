//! `spanwright tables`: the reference tables with their sources.

use std::process::ExitCode;

use super::args::{Common, Format, TablesArgs};
use super::exit::{self, Failure};
use super::{engine, output};
use crate::check::nearest;
use crate::read::sources::Sources;
use crate::read::tables::load;
use crate::report::tables::{PlainTable, csv, draw, json, list, plain};
use crate::report::trust;

pub(super) fn run(args: &TablesArgs, common: &Common) -> Result<ExitCode, Failure> {
    let mut sources = Sources::default();
    let (tables, findings) = load(&args.tables, &mut sources);
    engine::refuse_bad_input(&findings, &sources, output::error_color(common))?;
    let plain = plain(&tables, sources.files());
    let chosen: Vec<&PlainTable<'_>> = match &args.name {
        None => plain.iter().collect(),
        Some(name) => vec![find(&plain, name)?],
    };
    let paint = output::paint(common, args.output.out.is_some());
    if args.trust {
        let (lines, first) = match &args.name {
            None => (trust::of_tables(&plain), "table"),
            Some(_) => (chosen.iter().flat_map(|table| trust::of_columns(table)).collect(), "column"),
        };
        output::write(&args.output, |mut out| match args.output.format {
            Format::Table => write!(out, "{}", trust::draw(&lines, first, paint)),
            Format::Json => {
                serde_json::to_writer_pretty(&mut out, &trust::json(&lines, first))?;
                writeln!(out)
            }
            Format::Csv => trust::csv(&lines, first, &mut out),
        })?;
        return Ok(exit::CLEAN);
    }
    output::write(&args.output, |mut out| match (args.output.format, &args.name) {
        (Format::Table, None) => write!(out, "{}", list(&plain, paint)),
        (Format::Table, Some(_)) => {
            chosen.iter().try_for_each(|table| write!(out, "{}", draw(table, paint)))
        }
        (Format::Json, _) => {
            let all: Vec<serde_json::Value> = chosen.iter().map(|table| json(table)).collect();
            let one = if args.name.is_some() { all.into_iter().next() } else { None };
            let value = one.unwrap_or_else(|| chosen.iter().map(|table| json(table)).collect());
            serde_json::to_writer_pretty(&mut out, &value)?;
            writeln!(out)
        }
        (Format::Csv, _) => chosen.iter().try_for_each(|table| csv(table, &mut out)),
    })?;
    Ok(exit::CLEAN)
}

fn find<'p, 't>(plain: &'p [PlainTable<'t>], name: &str) -> Result<&'p PlainTable<'t>, Failure> {
    plain.iter().find(|table| table.name == name).ok_or_else(|| {
        let names = || plain.iter().map(|table| table.name);
        let meant =
            nearest(name, names()).map_or_else(String::new, |near| format!("; did you mean `{near}`?"));
        let all = names().collect::<Vec<_>>().join(", ");
        Failure::Refused(format!("error: there is no table `{name}`{meant}\nthe tables are: {all}\n"))
    })
}
