//! `splitters`, `taps`, `wdm-elements`, `attenuators` and `hazard-levels`.

use super::cells::{Cells, PERCENT};
use super::figures::{FigureColumns, Floor, LOSS_COLUMNS, PRINTED, loss_figures};
use super::layout::{Entry, Layout, no_clashes, overlaps};
use crate::check::plan_rules::{table_impossible_loss, table_tap_ratio};
use crate::tables::{AttenuatorValue, HazardLevel, LossFigures, SplitterType, TapType, WdmLeg};
use crate::units::{Decibels, Percent};

pub(super) static SPLITTERS: Layout<SplitterType> = Layout {
    name: "splitters",
    built_in: include_str!("../../../reference-tables/splitters.csv"),
    required: &["splitter", "inputs", "outputs", "most_db"],
    slot: |tables| &mut tables.splitters,
    row: splitter,
    clashes: no_clashes,
};

pub(super) static TAPS: Layout<TapType> = Layout {
    name: "taps",
    built_in: include_str!("../../../reference-tables/taps.csv"),
    required: &["tap", "tap_percent", "through_most_db", "tap_most_db"],
    slot: |tables| &mut tables.taps,
    row: tap,
    clashes: no_clashes,
};

pub(super) static WDM_ELEMENTS: Layout<WdmLeg> = Layout {
    name: "wdm-elements",
    built_in: include_str!("../../../reference-tables/wdm-elements.csv"),
    required: &["element", "leg", "nm_min", "nm_max", "most_db"],
    slot: |tables| &mut tables.wdm_elements,
    row: wdm_leg,
    clashes: |table| overlaps(table, |leg| (&leg.element, leg.band)),
};

pub(super) static ATTENUATORS: Layout<AttenuatorValue> = Layout {
    name: "attenuators",
    built_in: include_str!("../../../reference-tables/attenuators.csv"),
    required: &["attenuator", "value_db"],
    slot: |tables| &mut tables.attenuators,
    row: attenuator,
    clashes: no_clashes,
};

pub(super) static HAZARD_LEVELS: Layout<HazardLevel> = Layout {
    name: "hazard-levels",
    built_in: include_str!("../../../reference-tables/hazard-levels.csv"),
    required: &["level", "nm_min", "nm_max", "limit_dbm", "edition"],
    slot: |tables| &mut tables.hazard_levels,
    row: hazard_level,
    clashes: |table| overlaps(table, |limit| (&limit.level, limit.band)),
};

fn splitter(cells: &mut Cells<'_>) -> Option<Entry<SplitterType>> {
    let key = cells.name("splitter");
    let inputs = cells.count("inputs");
    let inputs = cells.need("inputs", inputs);
    let outputs = cells.count("outputs");
    let outputs = cells.need("outputs", outputs);
    let ideal = outputs.map_or(Decibels::ZERO, SplitterType::ideal);
    let floor = Floor { ideal, taken: ideal };
    let figures = loss_figures(cells, &LOSS_COLUMNS, floor);
    let uniformity = cells.loss("uniformity_db");
    let band = cells.range("nm_min", "nm_max");
    let return_loss = cells.loss("return_loss_db");
    // Shown with the row, not computed with; still checked.
    cells.loss("directivity_db");
    let with_connectors =
        cells.word("connectors_included", known_if, &["yes", "no", "unknown"]) == Some(Included::Yes);
    let (key, inputs, outputs) = (key?, inputs?, outputs?);
    name_agrees(cells, &key, inputs, outputs);
    let figures = figures?;
    legs_agree(cells, &figures, uniformity);
    let value =
        SplitterType { inputs, outputs, figures, uniformity, return_loss, with_connectors, band };
    Some(Entry { key, aliases: vec![], value })
}

/// Whether the connectors of a device are part of its figures; where that is not known they are not.
#[derive(PartialEq)]
enum Included {
    Yes,
    No,
}

fn known_if(word: &str) -> Option<Included> {
    match word {
        "yes" => Some(Included::Yes),
        "no" | "unknown" => Some(Included::No),
        _ => None,
    }
}

/// The legs of one device cannot differ by more than the losses that all devices keep.
fn legs_agree(cells: &mut Cells<'_>, figures: &LossFigures, uniformity: Option<Decibels>) {
    let stated = !cells.text("least_db").is_empty();
    let range = figures.most - figures.least;
    if let Some(uniformity) = uniformity.filter(|uniformity| stated && *uniformity > range + PRINTED) {
        let message = format!(
            "legs of one splitter differ by up to {}, and all legs lie within {} (`least_db` to `most_db`)",
            uniformity.in_full(),
            range.in_full()
        );
        cells.bad("uniformity_db", message, "");
    }
}

/// A splitter that is called `1x32` has one input and 32 legs.
fn name_agrees(cells: &mut Cells<'_>, name: &str, inputs: u16, outputs: u16) {
    let stated = name
        .split_once('x')
        .and_then(|(a, b)| Some((a.trim().parse::<u16>().ok()?, b.trim().parse::<u16>().ok()?)));
    if stated.is_some_and(|stated| stated != (inputs, outputs)) {
        let message = format!("`{name}` is stated with {inputs} inputs and {outputs} outputs");
        cells.bad("splitter", message, "");
    }
}

fn tap(cells: &mut Cells<'_>) -> Option<Entry<TapType>> {
    const THROUGH: FigureColumns = FigureColumns {
        least: "through_least_db",
        typical: "through_typical_db",
        most: "through_most_db",
        spread: "through_spread_db",
        shape: Some("shape"),
        within: None,
    };
    const TAP: FigureColumns = FigureColumns {
        least: "tap_least_db",
        typical: "tap_typical_db",
        most: "tap_most_db",
        spread: "tap_spread_db",
        shape: Some("shape"),
        within: None,
    };
    let key = cells.name("tap");
    let share = cells.number("tap_percent", &PERCENT);
    let share = cells.need("tap_percent", share);
    // A leg may get more than its nominal share, so that only the sum of both is judged.
    let nominal = |percent: f64| Floor {
        ideal: Decibels::ZERO,
        taken: Decibels::from_transmission(percent / 100.0),
    };
    let floors = share.map_or([Floor::NONE; 2], |tap| [nominal(100.0 - tap), nominal(tap)]);
    let through = loss_figures(cells, &THROUGH, floors[0]);
    let tap = loss_figures(cells, &TAP, floors[1]);
    let band = cells.range("nm_min", "nm_max");
    let (key, share, through, tap) = (key?, share?, through?, tap?);
    tap_name_agrees(cells, &key, share);
    energy_is_kept(cells, &through, &tap);
    ratio_is_kept(cells, share, &through, &tap);
    let value = TapType { tap_share: Percent::new(share), through, tap, band };
    Some(Entry { key, aliases: vec![], value })
}

/// A tap that is called `90/10` gives 10 % to its tap leg.
fn tap_name_agrees(cells: &mut Cells<'_>, name: &str, share: f64) {
    let stated = name
        .split_once('/')
        .and_then(|(a, b)| Some((a.trim().parse::<f64>().ok()?, b.trim().parse::<f64>().ok()?)));
    if stated.is_some_and(|(through, tap)| tap != share || (through + tap - 100.0).abs() > 1e-9) {
        let message = format!("`{name}` (through/tap) is stated with a tap share of {share} %");
        cells.bad("tap", message, "");
    }
}

/// Both legs together cannot carry more light than goes in.
fn energy_is_kept(cells: &mut Cells<'_>, through: &LossFigures, tap: &LossFigures) {
    let share = |figures: &LossFigures| (figures.least + PRINTED).transmission();
    if share(through) + share(tap) > 1.0 {
        let carried = 100.0 * (through.least.transmission() + tap.least.transmission());
        let message = format!(
            "least losses of {} and {} carry {carried:.1} % of the light that goes in",
            through.least, tap.least
        );
        cells.hit(&table_impossible_loss::RULE, "tap_least_db", message, String::new());
    }
}

/// The mean losses imply about the share that the tap is named for.
fn ratio_is_kept(cells: &mut Cells<'_>, share: f64, through: &LossFigures, tap: &LossFigures) {
    const POINTS: f64 = 1.5;
    if cells.text("through_typical_db").is_empty() || cells.text("tap_typical_db").is_empty() {
        return;
    }
    let (goes_on, tapped) = (through.typical.transmission(), tap.typical.transmission());
    let implied = 100.0 * tapped / (goes_on + tapped);
    if (implied - share).abs() > POINTS {
        let message = format!(
            "losses of {} through and {} to the tap imply a share of {implied:.1} %, not {share} %",
            through.typical, tap.typical
        );
        cells.hit(&table_tap_ratio::RULE, "tap_typical_db", message, String::new());
    }
}

fn wdm_leg(cells: &mut Cells<'_>) -> Option<Entry<WdmLeg>> {
    let element = cells.name("element");
    let leg = cells.name("leg");
    let band = cells.need_range("nm_min", "nm_max");
    let figures = loss_figures(cells, &LOSS_COLUMNS, Floor::NONE);
    let isolation = cells.loss("isolation_db");
    let (element, leg, band, figures) = (element?, leg?, band?, figures?);
    if leg.contains('/') || leg.eq_ignore_ascii_case("com") {
        let message = format!("`{leg}` cannot be a leg: `com` is the common port, `/` parts names");
        cells.bad("leg", message, "");
    }
    let key = format!("{element}/{leg} @ {}-{} nm", band.0.value(), band.1.value());
    let value = WdmLeg { element, leg, band, figures, isolation };
    Some(Entry { key, aliases: vec![], value })
}

fn attenuator(cells: &mut Cells<'_>) -> Option<Entry<AttenuatorValue>> {
    let key = cells.name("attenuator");
    let value = cells.loss("value_db");
    let value = cells.need("value_db", value);
    let tolerance = cells.loss("tolerance_db");
    let (key, value) = (key?, value?);
    let tolerance = tolerance.unwrap_or_else(|| {
        // What is common for fixed attenuators: the larger of 0.5 dB and 10 %.
        let taken = Decibels::new(0.5).max(value * 0.1);
        cells.assume("tolerance_db", taken);
        taken
    });
    Some(Entry { key, aliases: vec![], value: AttenuatorValue { value, tolerance } })
}

fn hazard_level(cells: &mut Cells<'_>) -> Option<Entry<HazardLevel>> {
    let level = cells.name("level");
    let band = cells.need_range("nm_min", "nm_max");
    let limit = cells.level("limit_dbm");
    let limit = cells.need("limit_dbm", limit);
    let edition = Some(cells.text("edition").to_string()).filter(|text| !text.is_empty());
    let edition = cells.need("edition", edition);
    let (level, band) = (level?, band?);
    let key = format!("{level} @ {}-{} nm", band.0.value(), band.1.value());
    let value = HazardLevel { level, band, limit: limit?, edition: edition? };
    Some(Entry { key, aliases: vec![], value })
}
