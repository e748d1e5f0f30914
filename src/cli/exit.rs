//! Exit codes, and what ends a command early.

use std::io;
use std::process::ExitCode;

use super::terminal;
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
    /// The input is at fault; the text is drawn already.
    BadInput(String),
    /// What was typed is at fault; the words repeat some of it.
    Refused(String),
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

    /// Says the failure and gives its exit code.
    pub fn report(self) -> ExitCode {
        match self {
            Self::BadInput(drawn) => terminal::warn(&drawn),
            Self::Refused(words) => terminal::complain(&words),
            Self::Io { doing, error } => terminal::complain(&format!("error: {doing}: {error}\n")),
        }
        bad_input()
    }
}
