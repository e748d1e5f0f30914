//! `spanwright schema`: the JSON Schema of the plan format.

use std::process::ExitCode;

use super::exit::{self, Failure};
use super::terminal;
use crate::read::schema::plan_schema;

pub(super) fn run() -> Result<ExitCode, Failure> {
    let text = serde_json::to_string_pretty(&plan_schema())
        .map_err(|e| Failure::io("writing the schema")(e.into()))?;
    terminal::print(|out| writeln!(out, "{text}"))?;
    Ok(exit::CLEAN)
}
