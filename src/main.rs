//! The command `spanwright`.

use std::process::ExitCode;

fn main() -> ExitCode {
    spanwright::cli::run()
}
