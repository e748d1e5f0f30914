//! `spanwright optic`: what the memory of a module says, or a channel of a grid.

use std::path::Path;
use std::process::ExitCode;

use super::args::{Common, Format, OpticArgs};
use super::exit::{self, Failure};
use super::{engine, output};
use crate::check::{memory_rules, sort};
use crate::fit::memory::{decode, suggest_interface};
use crate::read::sources::Sources;
use crate::read::{dump, tables};
use crate::report::channel::{self, ChannelRow};
use crate::report::module::{Module, write_csv, write_json, write_table};
use crate::tables::grid::Channel;
use crate::units::Nanometers;

pub(super) fn run(args: &OpticArgs, common: &Common) -> Result<ExitCode, Failure> {
    match (&args.dump, args.wavelength, args.channel) {
        (Some(path), ..) => module(path, args, common),
        (None, Some(at), _) => channels(&ChannelRow::nearest(at), args, common),
        (None, None, Some(asked)) => channels(&[ChannelRow::of(asked)], args, common),
        // clap asks for one of the three.
        (None, None, None) => Ok(exit::CLEAN),
    }
}

fn module(path: &Path, args: &OpticArgs, common: &Common) -> Result<ExitCode, Failure> {
    let color = output::error_color(common);
    let mut sources = Sources::default();
    let (tables, mut findings) = tables::load(&args.tables, &mut sources);
    let read = dump::load(path, &mut sources).map_err(|faults| findings.extend(faults)).ok();
    let decoded = read.and_then(|read| {
        let memory = decode(&read.image, &tables);
        match &memory {
            Ok(memory) => {
                findings.extend(memory_rules::judge(memory, &read.image, &tables, read.file));
            }
            Err(fault) => findings.push(memory_rules::refuse(fault, &read.image, read.file)),
        }
        memory.ok()
    });
    engine::refuse_bad_input(&findings, &sources, color)?;
    let Some(memory) = decoded else { return Ok(exit::bad_input()) };
    sort(&mut findings);
    let interfaces = suggest_interface(&memory, &tables);
    let module = Module {
        memory: &memory,
        interfaces: &interfaces,
        findings: &findings,
        files: sources.files(),
        width: output::width(),
    };
    let paint = output::paint(common, args.output.out.is_some());
    output::write(&args.output, |mut out| match args.output.format {
        Format::Table => write_table(&module, paint, &mut out),
        Format::Json => write_json(&module, &mut out),
        Format::Csv => write_csv(&module, &mut out),
    })?;
    Ok(exit::findings(module.has_errors()))
}

fn channels(rows: &[ChannelRow], args: &OpticArgs, common: &Common) -> Result<ExitCode, Failure> {
    let paint = output::paint(common, args.output.out.is_some());
    output::write(&args.output, |mut out| match args.output.format {
        Format::Table => channel::write_table(rows, paint, &mut out),
        Format::Json => channel::write_json(rows, &mut out),
        Format::Csv => channel::write_csv(rows, &mut out),
    })?;
    Ok(exit::CLEAN)
}

/// Reads a channel.
pub(super) fn read_channel(text: &str) -> Result<Channel, String> {
    Channel::parse(text).map_err(|error| error.to_string())
}

/// Reads a wavelength, with or without its unit.
pub(super) fn read_wavelength(text: &str) -> Result<Nanometers, String> {
    crate::tables::grid::parse_wavelength(text).map_err(|error| error.to_string())
}
