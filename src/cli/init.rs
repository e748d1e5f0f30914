//! `spanwright init`: a plan to start from: a small commented one, or the skeleton of a described network.

use std::path::Path;
use std::process::ExitCode;

use super::args::{Common, InitArgs};
use super::exit::{self, Failure};
use super::{output, terminal};
use crate::read::network;
use crate::read::sources::Sources;
use crate::read::{limits, tables};
use crate::report::{diagnostic, skeleton};

/// The starter plan. It is judged in the tests, so that nobody starts from a broken one.
pub const STARTER: &str = include_str!("starter.yaml");

pub(super) fn run(args: &InitArgs, common: &Common) -> Result<ExitCode, Failure> {
    let name = args.file.display();
    if args.file.exists() {
        return Err(Failure::Refused(format!("error: `{name}` exists; name another file\n")));
    }
    let plan = match &args.from {
        Some(from) => described(from, common)?,
        None => STARTER.to_string(),
    };
    output::write_file(&args.file, |out| out.write_all(plan.as_bytes()))?;
    match &args.from {
        Some(_) => {
            let open = plan.matches("FILL IN").count() - 1;
            terminal::tell(&format!(
                "wrote {name}; {open} places marked FILL IN; then judge it with: spanwright budget {name}"
            ))?;
        }
        None => terminal::tell(&format!("wrote {name}; judge it with: spanwright budget {name}"))?,
    }
    Ok(exit::CLEAN)
}

/// The skeleton of a network that a file describes.
fn described(from: &Path, common: &Common) -> Result<String, Failure> {
    let mut sources = Sources::default();
    let color = output::error_color(common);
    let read = match sources.open_within(from, limits::NETWORK_BYTES) {
        Ok(file) => network::read(&sources.text(file), file),
        Err(finding) => Err(vec![finding]),
    };
    match read {
        Ok(network) => {
            let name = from.file_name().map_or_else(String::new, |name| name.display().to_string());
            Ok(skeleton::plan(&network, &tables::built_in(), &name))
        }
        Err(findings) => Err(Failure::BadInput(diagnostic::render(&findings, &sources, color))),
    }
}
