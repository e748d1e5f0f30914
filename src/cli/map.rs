//! `spanwright map`: places and spans as GeoJSON.

use std::process::ExitCode;

use super::args::Common;
use super::args_report::MapArgs;
use super::document::Prepared;
use super::exit::{self, Failure};
use super::{output, terminal};
use crate::report::map::write_geojson;

pub(super) fn run(args: &MapArgs, common: &Common) -> Result<ExitCode, Failure> {
    let prepared = Prepared::load(&args.plan, &args.judge, common)?;
    let document = prepared.document(&args.sheet);
    output::write_to(args.out.as_deref(), |mut out| write_geojson(&document, &mut out))?;
    if let Some(file) = &args.out {
        let plan = &prepared.judged.plan;
        let bare = plan.places.iter().filter(|place| place.at.is_none()).count();
        let note = match bare {
            0 => String::new(),
            count => format!("; {count} places have no coordinates"),
        };
        let hash = document.identity.short_hash();
        terminal::tell(&format!("wrote {} (plan {hash}){note}", file.display()))?;
    }
    Ok(exit::findings(prepared.has_errors()))
}
