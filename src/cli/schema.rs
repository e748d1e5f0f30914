//! `spanwright schema`: the JSON Schema of the plan format.

use std::io::Write;
use std::process::ExitCode;

use super::exit::{self, Failure};
use crate::read::schema::plan_schema;

pub(super) fn run() -> Result<ExitCode, Failure> {
    let text = serde_json::to_string_pretty(&plan_schema())
        .map_err(|e| Failure::io("writing the schema")(e.into()))?;
    let mut out = std::io::stdout().lock();
    writeln!(out, "{text}").map_err(Failure::io("writing the schema"))?;
    Ok(exit::CLEAN)
}
