//! `spanwright diff`: two states of a plan side by side.

use std::collections::BTreeMap;
use std::process::ExitCode;

use super::args::Common;
use super::args_report::{DiffArgs, DiffFormat, SheetArgs, UnitsArg};
use super::document::Prepared;
use super::exit::{self, Failure};
use super::output;
use crate::report::diff::{difference, write_json, write_markdown, write_table};
use crate::report::schedule::Options;
use crate::units::{Kilometers, Percent};

pub(super) fn run(args: &DiffArgs, common: &Common) -> Result<ExitCode, Failure> {
    let old = Prepared::load(&args.old, &args.judge, common)?;
    let new = Prepared::load(&args.new, &args.judge, common)?;
    // Sheets are compared as they are made when nothing else is asked for.
    let sheet = SheetArgs { date: None, units: UnitsArg::Metric };
    let options = Options {
        template: "TIA-598-12".to_string(),
        templates: BTreeMap::new(),
        reel: Kilometers::new(4.0),
        waste: Percent::new(3.0),
    };
    let found = difference(&old.document(&sheet), &new.document(&sheet), &options);
    let paint = output::paint(common, args.out.is_some());
    output::write_to(args.out.as_deref(), |mut out| match args.format {
        DiffFormat::Table => write_table(&found, paint, &mut out),
        DiffFormat::Json => write_json(&found, &mut out),
        DiffFormat::Markdown => write_markdown(&found, &mut out),
    })?;
    Ok(exit::findings(new.has_errors()))
}
