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
mod terminal;

use std::io::ErrorKind;
use std::process::ExitCode;

use clap::Parser;

use args::{Cli, Command};

/// Reads the command line and runs it.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            return usage(&error);
        }
    };
    #[cfg(unix)]
    stopped::outlive_large_writes();
    sensible_threads();
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

/// The environment may ask for any number of threads; more than a few for each core only cost memory.
fn sensible_threads() {
    const EACH: usize = 4;
    let cores = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let asked = std::env::var("RAYON_NUM_THREADS").ok().and_then(|text| text.parse::<usize>().ok());
    if asked.is_some_and(|asked| asked > cores * EACH) {
        // Only a pool that is there already refuses, and none is.
        let _ = rayon::ThreadPoolBuilder::new().num_threads(cores * EACH).build_global();
    }
}

/// Help, version and usage errors, as clap words them.
fn usage(error: &clap::Error) -> ExitCode {
    let typed = std::env::args_os();
    if error.use_stderr()
        && typed.into_iter().any(|word| word.to_string_lossy().contains(char::is_control))
    {
        // The words are repeated in the message; told plainly, none of them can pass for color.
        terminal::complain(&error.render().to_string());
        return exit::bad_input();
    }
    match error.print() {
        _ if error.use_stderr() => exit::bad_input(),
        Err(fault) if fault.kind() != ErrorKind::BrokenPipe => {
            exit::Failure::io("writing the result to standard output")(fault).report()
        }
        _ => exit::CLEAN,
    }
}
