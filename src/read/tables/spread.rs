//! `optic-spreads`.

use super::cells::Cells;
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{Optic, OpticSpread, Role, SpreadLevel, Surplus};

pub(super) static OPTIC_SPREADS: Layout<OpticSpread> = Layout {
    name: "optic-spreads",
    built_in: include_str!("../../../reference-tables/optic-spreads.csv"),
    required: &["optic"],
    slot: |tables| &mut tables.optic_spreads,
    row: optic_spread,
    clashes: no_clashes,
};

fn optic_spread(cells: &mut Cells<'_>) -> Option<Entry<OpticSpread>> {
    let written = cells.name("optic")?;
    let optic = Optic::find_by_name(cells.tables, &written, Role::Olt);
    if optic.is_none() {
        let message = format!("`{written}` is no interface and no PON optic of the tables");
        cells.bad("optic", message, "write an interface, or a side of a PON class: `XGS-PON-ONU-N1`");
    }
    let worst = optic.as_ref().map_or([None; 2], |optic| [optic.launch[0], optic.receive_least]);
    let launch = level(cells, ["launch_mean_dbm", "launch_spread_db"]);
    let sensitivity = level(cells, ["sensitivity_mean_dbm", "sensitivity_spread_db"]);
    if let (Some(level), Some(least)) = (launch, worst[0])
        && Surplus::of(level.mean - least, level.spread).is_err()
    {
        let message =
            format!("a mean launch of {} does not go with a least launch of {least}", level.mean);
        cells.bad("launch_mean_dbm", message, "");
    }
    if let (Some(level), Some(most)) = (sensitivity, worst[1])
        && Surplus::of(most - level.mean, level.spread).is_err()
    {
        let message =
            format!("a mean sensitivity of {} does not go with {most} at the worst", level.mean);
        cells.bad("sensitivity_mean_dbm", message, "");
    }
    for (level, worst, column, what) in [
        (launch, worst[0], "launch_mean_dbm", "least launch"),
        (sensitivity, worst[1], "sensitivity_mean_dbm", "least receive level"),
    ] {
        if level.is_some() && worst.is_none() && optic.is_some() {
            let message =
                format!("the {what} of `{written}` is not known, so a mean says nothing of it");
            cells.bad(column, message, "");
        }
    }
    let name = optic?.name;
    Some(Entry { key: name, aliases: vec![], value: OpticSpread { launch, sensitivity } })
}

/// A mean and a standard deviation: both or none.
fn level(cells: &mut Cells<'_>, [mean, spread]: [&'static str; 2]) -> Option<SpreadLevel> {
    let level = (cells.level(mean), cells.loss(spread));
    if cells.text(mean).is_empty() != cells.text(spread).is_empty() {
        let (has, lacks) = if cells.text(spread).is_empty() { (mean, spread) } else { (spread, mean) };
        cells.bad(has, format!("`{has}` is stated without `{lacks}`"), "");
    }
    Some(SpreadLevel { mean: level.0?, spread: level.1? })
}
