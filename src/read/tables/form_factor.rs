//! `form-factors`.

use super::cells::{self, CODE, Cells};
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{CageFit, FormFactor};

pub(super) static FORM_FACTORS: Layout<FormFactor> = Layout {
    name: "form-factors",
    built_in: include_str!("../../../reference-tables/form-factors.csv"),
    required: &["form", "host_lanes"],
    slot: |tables| &mut tables.form_factors,
    row: form_factor,
    clashes: no_clashes,
};

/// What a row is, for messages.
pub(super) const FORM: &str = "a form factor";

fn form_factor(cells: &mut Cells<'_>) -> Option<Entry<FormFactor>> {
    let key = cells.name("form");
    if key.as_deref() == Some(CageFit::ANY) {
        cells.bad("form", "`*` stands for every form factor and names none".to_string(), "");
    }
    let identifiers = identifiers(cells);
    let host_lanes = cells.count("host_lanes");
    let host_lanes = cells.need("host_lanes", host_lanes);
    let lane_rate = cells.rate("lane_gbit_s");
    let [least_rate, most_rate] = cells.ordered(["least_gbit_s", "most_gbit_s"], Cells::rate);
    let value = FormFactor {
        family: cells.text("family").to_string(),
        identifiers,
        lane_rate,
        least_rate,
        most_rate,
        pluggable: cells.yes_or_no("pluggable").unwrap_or(true),
        connectors: cells.list("connectors"),
        // Last, so that every other cell has been looked at.
        host_lanes: host_lanes?,
    };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}

/// Codes such as `03h`.
fn identifiers(cells: &mut Cells<'_>) -> Vec<u8> {
    let codes: Vec<Option<u8>> =
        cells.list("identifiers").iter().map(|item| cells::code(item)).collect();
    if codes.contains(&None) {
        cells.bad("identifiers", CODE.to_string(), "");
    }
    codes.into_iter().flatten().collect()
}
