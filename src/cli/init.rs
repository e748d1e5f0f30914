//! `spanwright init`: a small commented plan to start from.

use std::process::ExitCode;

use super::args::InitArgs;
use super::exit::{self, Failure};
use super::output;

/// The starter plan. It is judged in the tests, so that nobody starts from a broken one.
pub const STARTER: &str = include_str!("starter.yaml");

pub(super) fn run(args: &InitArgs) -> Result<ExitCode, Failure> {
    if args.file.exists() {
        let name = args.file.display();
        return Err(Failure::BadInput(format!("error: `{name}` exists; name another file\n")));
    }
    output::write_file(&args.file, |out| out.write_all(STARTER.as_bytes()))?;
    println!("wrote {}; judge it with: spanwright budget {0}", args.file.display());
    Ok(exit::CLEAN)
}
