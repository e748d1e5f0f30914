//! The command line: what was typed, what it means, one thin file per command.
//!
//! Holds: the clap types, the exit codes, terminal matters (color, width, progress), writing to
//! files whole or not at all.
//! Must not know: how anything is computed or worded.
//! Start reading at [`run`].

pub mod args;
pub mod args_audit;
pub mod args_fit;
pub mod args_report;
mod audit;
mod budget;
mod diff;
mod document;
mod engine;
pub mod exit;
mod fit;
mod fit_plan;
mod init;
mod map;
mod optic;
mod output;
mod path;
mod path_plan;
mod pending;
mod progress;
mod report;
mod rules;
mod schedule;
mod schema;
#[cfg(unix)]
mod stopped;
mod tables;

use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};

/// Reads the command line and runs it.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // clap words help, version and usage errors itself; a closed pipe is no failure.
            let _ = error.print();
            return if error.use_stderr() { exit::bad_input() } else { exit::CLEAN };
        }
    };
    let done = match &cli.command {
        Command::Budget(args) => budget::run(args, &cli.common),
        Command::Path(args) => path::run(args, &cli.common),
        Command::Fit(args) => fit::run(args, &cli.common),
        Command::Audit(args) => audit::run(args, &cli.common),
        Command::Optic(args) => optic::run(args, &cli.common),
        Command::Tables(args) => tables::run(args, &cli.common),
        Command::Rules(args) => rules::run(args, &cli.common),
        Command::Schema => schema::run(),
        Command::Init(args) => init::run(args, &cli.common),
        Command::Diff(args) => diff::run(args, &cli.common),
        Command::Map(args) => map::run(args, &cli.common),
        Command::Report(args) => report::run(args, &cli.common),
        Command::Schedule(args) => schedule::run(args, &cli.common),
    };
    done.unwrap_or_else(exit::Failure::report)
}
