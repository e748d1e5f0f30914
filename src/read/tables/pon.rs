//! `pon-classes`.

use super::cells::{Cells, WAVELENGTH};
use super::layout::{Entry, Layout, no_clashes};
use crate::tables::{Band, LevelTerms, PonClass};
use crate::units::Nanometers;

pub(super) static PON_CLASSES: Layout<PonClass> = Layout {
    name: "pon-classes",
    built_in: include_str!("../../../reference-tables/pon-classes.csv"),
    required: &["system", "class"],
    slot: |tables| &mut tables.pon_classes,
    row: class,
    clashes: no_clashes,
};

fn class(cells: &mut Cells<'_>) -> Option<Entry<PonClass>> {
    let [min_loss, max_loss_down] = cells.ordered(["min_loss_db", "max_loss_down_db"], Cells::loss);
    let [_, max_loss_up] = cells.ordered(["min_loss_db", "max_loss_up_db"], Cells::loss);
    let (system, class) = (cells.name("system"), cells.name("class"));
    let value = PonClass {
        min_loss,
        max_loss_down,
        max_loss_up,
        penalty_down: cells.loss("penalty_down_db"),
        penalty_up: cells.loss("penalty_up_db"),
        olt_launch: cells.ordered(["olt_tx_min_dbm", "olt_tx_max_dbm"], Cells::level),
        olt_receive: cells.ordered(["olt_sensitivity_dbm", "olt_overload_dbm"], Cells::level),
        onu_launch: cells.ordered(["onu_tx_min_dbm", "onu_tx_max_dbm"], Cells::level),
        onu_receive: cells.ordered(["onu_sensitivity_dbm", "onu_overload_dbm"], Cells::level),
        down: band(cells, ["down_nm_min", "down_nm", "down_nm_max"]),
        up: band(cells, ["up_nm_min", "up_nm", "up_nm_max"]),
        down_rate: cells.rate("down_gbit_s"),
        up_rate: cells.rate("up_gbit_s"),
        reach: cells.kilometers("reach_km"),
        differential_reach: cells.kilometers("differential_reach_km"),
        differential_loss: cells.loss("differential_loss_db"),
        min_return_loss: cells.loss("min_return_loss_db"),
        max_reflectance: cells.reflectance("max_reflectance_db"),
        levels: level_terms(cells),
        fec: cells.text("fec").to_string(),
        exception: cells.text("exception").to_string(),
        // Last, so that every other cell has been looked at.
        system: system?,
        class: class?,
    };
    let key = format!("{} {}", value.system, value.class);
    Some(Entry { key, aliases: cells.list("aliases"), value })
}

/// `none`: the class states no levels.
fn level_terms(cells: &mut Cells<'_>) -> Option<LevelTerms> {
    if cells.text("levels") == "none" {
        return None;
    }
    cells.word("levels", LevelTerms::from_word, &["mean", "oma", "none"])
}

/// A transmit band of one wavelength.
fn band(cells: &mut Cells<'_>, columns: [&str; 3]) -> Option<Band> {
    let bands = bands(cells, columns);
    if bands.len() > 1 {
        cells.bad(columns[1], "one wavelength is expected, not a list".to_string(), "");
    }
    bands.into_iter().next()
}

/// Transmit bands by lane from three lists: shortest, nominal, longest.
///
/// Limits without a nominal wavelength: losses are computed in the middle. A nominal wavelength
/// without limits: the band is that wavelength.
pub(super) fn bands(cells: &mut Cells<'_>, columns: [&str; 3]) -> Vec<Band> {
    let lists = columns.map(|column| cells.numbers(column, &WAVELENGTH));
    let [shortest, nominal, longest] = &lists;
    let count = lists.iter().map(Vec::len).max().unwrap_or(0);
    let fits = |list: &Vec<f64>| list.is_empty() || list.len() == count;
    if !lists.iter().all(fits) || shortest.len() != longest.len() {
        let message = format!("`{}` must list as many wavelengths each", columns.join("`, `"));
        cells.bad(columns[1], message, "");
        return Vec::new();
    }
    (0..count)
        .filter_map(|lane| {
            let at = |list: &[f64]| list.get(lane).copied();
            let limits = at(shortest).zip(at(longest));
            let middle = limits.map(|(a, b)| f64::midpoint(a, b));
            let nominal = at(nominal).or(middle)?;
            let (low, high) = limits.unwrap_or((nominal, nominal));
            if !(low <= nominal && nominal <= high) {
                cells.bad(columns[1], format!("{nominal} nm is outside {low} to {high} nm"), "");
                return None;
            }
            let [shortest, nominal, longest] = [low, nominal, high].map(Nanometers::new);
            Some(Band { shortest, nominal, longest })
        })
        .collect()
}
