//! `spanwright report`: the page people look at.

use std::process::ExitCode;

use super::args::Common;
use super::args_report::ReportArgs;
use super::document::Prepared;
use super::exit::{self, Failure};
use super::{output, terminal};
use crate::report::html::write_report;

pub(super) fn run(args: &ReportArgs, common: &Common) -> Result<ExitCode, Failure> {
    let prepared = Prepared::load(&args.plan, &args.judge, common)?;
    let document = prepared.document(&args.sheet);
    output::write_to(args.out.as_deref(), |mut out| write_report(&document, &mut out))?;
    if let Some(file) = &args.out {
        let hash = document.identity.short_hash();
        terminal::tell(&format!("wrote {} (plan {hash})", file.display()))?;
    }
    Ok(exit::findings(prepared.has_errors()))
}
