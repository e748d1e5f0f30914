//! `interfaces`.

use super::cells::{Cells, DISPERSION, GIGABAUD, LINE_WIDTH, WAVELENGTH};
use super::fiber::fiber_kind;
use super::layout::{Entry, Layout, no_clashes};
use super::pon::bands;
use crate::tables::{Band, ByGrade, Interface, LevelTerms};
use crate::units::{DecibelMilliwatts, Decibels, Megabaud, Nanometers, PsPerNm};

pub(super) static INTERFACES: Layout<Interface> = Layout {
    name: "interfaces",
    built_in: include_str!("../../../reference-tables/interfaces.csv"),
    required: &["interface", "lanes", "fiber_kind", "fibers"],
    slot: |tables| &mut tables.interfaces,
    row: interface,
    clashes: no_clashes,
};

/// What a row is, for messages.
pub(super) const INTERFACE: &str = "an interface type";

/// Forward error correction by words: none, the fire code of clause 74, Reed-Solomon (528,514) and
/// (544,514), staircase, the codes of coherent optics, and what a module does by itself.
pub(super) const FEC_WORDS: [&str; 8] =
    ["none", "fc", "rs528", "rs544", "scfec", "cfec", "ofec", "in-module"];

const TERMS: [&str; 4] = ["mean", "oma", "stressed-oma", "formula"];
const STATUS: [&str; 3] = ["standard", "msa", "common-practice"];

fn interface(cells: &mut Cells<'_>) -> Option<Entry<Interface>> {
    let key = cells.name("interface");
    let lanes = cells.count("lanes");
    let lanes = cells.need("lanes", lanes);
    let kind = fiber_kind(cells, "fiber_kind");
    let kind = cells.need("fiber_kind", kind);
    let fibers = cells.count("fibers");
    let fibers = cells.need("fibers", fibers);
    cells.word("status", |word| STATUS.contains(&word).then_some(()), &STATUS);
    let transmit = transmit(cells, lanes);
    let receive = receive(cells);
    let reach_multimode = ["reach_om1_m", "reach_om2_m", "reach_om3_m", "reach_om4_m", "reach_om5_m"]
        .map(|column| cells.meters(column));
    let [min_channel_loss, max_channel_loss] =
        cells.ordered(["min_channel_loss_db", "max_channel_loss_db"], Cells::loss);
    let dispersion = cells.ordered(["dispersion_min_ps_nm", "dispersion_max_ps_nm"], |cells, c| {
        cells.number(c, &DISPERSION).map(PsPerNm::new)
    });
    let penalty = cells.loss("penalty_db");
    let penalty = by_grade(cells, penalty, PENALTIES);
    let lane_rate = cells.number("lane_gbaud", &GIGABAUD).map(|rate| Megabaud::new(rate * 1000.0));
    let line_width = cells.number("line_width_nm", &LINE_WIDTH).map(Nanometers::new);
    let value = Interface {
        status: cells.text("status").to_string(),
        rate: cells.rate("gbit_s"),
        modulation: cells.text("modulation").to_string(),
        transmit,
        receive,
        levels: cells.word("levels", LevelTerms::from_word, &TERMS),
        launch: cells.ordered(["tx_min_dbm", "tx_max_dbm"], Cells::level),
        launch_oma: cells.level("tx_oma_min_dbm"),
        launch_oma_less_penalty: cells.level("tx_oma_minus_penalty_min_dbm"),
        launch_total: cells.level("tx_total_max_dbm"),
        receive_min: cells.level("rx_min_dbm"),
        sensitivity: level_with_terms(cells, "sensitivity_dbm", "sensitivity_terms"),
        overload: level_with_terms(cells, "overload_dbm", "overload_terms"),
        damage: cells.level("damage_dbm"),
        max_channel_loss: by_grade(cells, max_channel_loss, CHANNEL_LOSSES),
        min_channel_loss,
        power_budget: cells.loss("power_budget_db"),
        penalty,
        dispersion,
        lane_rate,
        line_width,
        min_return_loss: cells.loss("min_return_loss_db"),
        max_reflectance: cells.reflectance("max_reflectance_db"),
        fec: fec(cells),
        reach_single_mode: cells.meters("reach_g652_m"),
        reach_multimode,
        connector_loss: cells.loss("connector_loss_db"),
        connector: cells.text("connector").to_string(),
        mates_with: cells.list("mates_with"),
        // Last, so that every other cell has been looked at.
        lanes: lanes?,
        fiber_kind: kind?,
        fibers: fibers?,
    };
    Some(Entry { key: key?, aliases: cells.list("aliases"), value })
}

/// Channel insertion loss by grade, OM1 to OM5.
const CHANNEL_LOSSES: [&str; 5] = [
    "channel_loss_om1_db",
    "channel_loss_om2_db",
    "channel_loss_om3_db",
    "channel_loss_om4_db",
    "channel_loss_om5_db",
];

/// Penalties by grade.
const PENALTIES: [&str; 5] =
    ["penalty_om1_db", "penalty_om2_db", "penalty_om3_db", "penalty_om4_db", "penalty_om5_db"];

fn by_grade(cells: &mut Cells<'_>, any: Option<Decibels>, columns: [&'static str; 5]) -> ByGrade {
    ByGrade { any, grades: columns.map(|column| cells.loss(column)) }
}

/// The word for the forward error correction; nothing = not known.
fn fec(cells: &mut Cells<'_>) -> String {
    let known = cells.word("fec", |word| FEC_WORDS.contains(&word).then_some(()), &FEC_WORDS);
    known.map_or_else(String::new, |()| cells.text("fec").to_string())
}

/// Transmit bands by lane: as many as there are lanes, or one for all, or one for each group.
fn transmit(cells: &mut Cells<'_>, lanes: Option<u16>) -> Vec<Band> {
    let bands = bands(cells, ["tx_nm_min", "tx_nm", "tx_nm_max"]);
    if lanes.is_some_and(|lanes| bands.len() > usize::from(lanes)) {
        let (count, lanes) = (bands.len(), lanes.unwrap_or_default());
        cells.bad("tx_nm", format!("{count} wavelengths for {lanes} lanes"), "");
    }
    bands
}

/// Receiver ranges by lane.
fn receive(cells: &mut Cells<'_>) -> Vec<(Nanometers, Nanometers)> {
    let [low, high] = ["rx_nm_min", "rx_nm_max"].map(|column| cells.numbers(column, &WAVELENGTH));
    if low.len() != high.len() || low.iter().zip(&high).any(|(low, high)| low > high) {
        let message = "`rx_nm_min` and `rx_nm_max` must list ranges, each from low to high";
        cells.bad("rx_nm_max", message.to_string(), "");
    }
    low.into_iter().zip(high).map(|(a, b)| (Nanometers::new(a), Nanometers::new(b))).collect()
}

/// A level with the terms it is stated in; terms without a level are no fault.
fn level_with_terms(
    cells: &mut Cells<'_>,
    level: &str,
    terms: &str,
) -> Option<(DecibelMilliwatts, Option<LevelTerms>)> {
    let stated = cells.level(level);
    let terms = cells.word(terms, LevelTerms::from_word, &TERMS);
    stated.map(|stated| (stated, terms))
}
