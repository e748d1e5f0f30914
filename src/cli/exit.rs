//! Exit codes, and what ends a command early.

use std::io;
use std::process::ExitCode;

use crate::engine::fit::Go;

/// Nothing of severity error was found.
pub const CLEAN: ExitCode = ExitCode::SUCCESS;

/// Findings of severity error, as a number for those who start the command from a program.
pub const FINDINGS_CODE: u8 = 1;

/// The input cannot be understood, as a number.
pub const BAD_INPUT_CODE: u8 = 2;

/// Nothing of severity error was found, or something was.
pub fn findings(any_error: bool) -> ExitCode {
    if any_error { ExitCode::from(FINDINGS_CODE) } else { CLEAN }
}

/// Nothing speaks against it, but a datum is missing, as a number.
pub const CANNOT_JUDGE_CODE: u8 = 3;

/// Whether to plug: GO, NO-GO, CANNOT JUDGE.
pub fn go(go: Go) -> ExitCode {
    match go {
        Go::Go => CLEAN,
        Go::NoGo => ExitCode::from(FINDINGS_CODE),
        Go::CannotJudge => ExitCode::from(CANNOT_JUDGE_CODE),
    }
}

/// The input cannot be understood.
pub fn bad_input() -> ExitCode {
    ExitCode::from(BAD_INPUT_CODE)
}

/// Why a command could not be carried out.
#[derive(Debug)]
pub enum Failure {
    /// The input is at fault; the text says how.
    BadInput(String),
    /// Reading or writing failed.
    Io {
        /// What was being done.
        doing: String,
        /// What went wrong.
        error: io::Error,
    },
}

impl Failure {
    /// Reading or writing failed.
    pub fn io(doing: impl Into<String>) -> impl FnOnce(io::Error) -> Self {
        let doing = doing.into();
        move |error| Self::Io { doing, error }
    }

    /// Prints the failure and gives its exit code. A pipe that the reader closed is no failure.
    pub fn report(self) -> ExitCode {
        match self {
            Self::BadInput(text) => eprint!("{text}"),
            Self::Io { error, .. } if is_closed_pipe(&error) => return CLEAN,
            Self::Io { doing, error } => eprintln!("error: {doing}: {error}"),
        }
        bad_input()
    }
}

/// Whether the reader of a pipe has gone. The CSV writer wraps the error it meets.
fn is_closed_pipe(error: &io::Error) -> bool {
    let wrapped = error.get_ref().and_then(|inner| inner.downcast_ref::<csv::Error>());
    let inner = wrapped.and_then(|csv| match csv.kind() {
        csv::ErrorKind::Io(inner) => Some(inner.kind()),
        _ => None,
    });
    error.kind() == io::ErrorKind::BrokenPipe || inner == Some(io::ErrorKind::BrokenPipe)
}
