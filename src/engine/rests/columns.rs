//! Which columns of a row a judgement reads.

use crate::budget::{Basis, Direction, Pair, PairGrade};
use crate::loss::TableName;
use crate::tables::{FiberKind, Grade, Optic, Role, Tables};

/// What is judged beside the sum of losses.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Judges {
    /// Distributions and yields.
    pub statistics: bool,
    /// The chromatic dispersion of the way.
    pub dispersion: bool,
    /// What the plant throws back.
    pub return_loss: bool,
    /// The mode fields of unlike fibers.
    pub mode_fields: bool,
}

/// Columns of what lies on the way.
pub(super) fn on_the_way(table: TableName, judges: Judges) -> Vec<&'static str> {
    let (mut columns, spread): (Vec<&'static str>, &[&'static str]) = match table {
        TableName::Attenuation => {
            (vec!["least_db_km", "most_db_km"], &["typical_db_km", "spread_db_km"])
        }
        TableName::Transitions | TableName::Connectors | TableName::Splices | TableName::Splitters => {
            (vec!["least_db", "most_db"], &["typical_db", "spread_db"])
        }
        TableName::WdmElements => {
            let columns = vec!["nm_min", "nm_max", "least_db", "most_db", "isolation_db"];
            (columns, &["typical_db", "spread_db"])
        }
        TableName::Taps => (
            vec!["through_least_db", "through_most_db", "tap_least_db", "tap_most_db"],
            &["through_typical_db", "through_spread_db", "tap_typical_db", "tap_spread_db"],
        ),
        TableName::Fibers => (vec!["kind"], &[]),
        TableName::Dispersion if judges.dispersion => (vec!["least_ps_nm_km", "most_ps_nm_km"], &[]),
        TableName::Polishes | TableName::PonClasses | TableName::Interfaces | TableName::Dispersion => {
            (Vec::new(), &[])
        }
    };
    if judges.statistics {
        columns.extend(spread);
    }
    match table {
        TableName::Connectors if judges.statistics => {
            columns.extend(["within_97_db", "dirty_percent", "dirty_db"]);
        }
        TableName::Splices if judges.statistics => columns.push("within_97_db"),
        _ => {}
    }
    if table == TableName::Fibers && judges.mode_fields {
        columns.extend(["mfd_1310_um", "mfd_1550_um"]);
    }
    match table {
        TableName::Splices if judges.return_loss => columns.push("reflectance_db"),
        TableName::Polishes if judges.return_loss => {
            columns.extend(["mated_reflectance_db", "open_reflectance_db"]);
        }
        TableName::Splitters if judges.return_loss => columns.push("return_loss_db"),
        TableName::Fibers if judges.dispersion => columns.extend([
            "zero_dispersion_min_nm",
            "zero_dispersion_max_nm",
            "zero_dispersion_slope_max",
            "dispersion_1550_min",
            "dispersion_1550_max",
        ]),
        _ => {}
    }
    columns
}

/// Columns of the sending optic: its wavelength, its launch, and what its type asks of the way.
pub(super) fn of_sender(pair: &Pair, tx: &Optic, rx: &Optic, fibers: &[&str]) -> Vec<&'static str> {
    let mut columns = Vec::new();
    if tx.role != Role::Peer {
        let down = pair.direction == Direction::Downstream;
        columns.extend(if down { DOWN_SENDER } else { UP_SENDER });
        if pair.window.basis == Basis::ClassLevels {
            columns.push(if down { "olt_tx_min_dbm" } else { "onu_tx_min_dbm" });
            columns.push(if down { "penalty_down_db" } else { "penalty_up_db" });
        }
        if pair.window.same_kind {
            columns.push(if down { "max_loss_down_db" } else { "max_loss_up_db" });
            columns.push("min_loss_db");
        }
        return columns;
    }
    if tx.channel.is_none() {
        columns.extend(["tx_nm_min", "tx_nm", "tx_nm_max"]);
    }
    columns.extend([
        "fiber_kind",
        "dispersion_min_ps_nm",
        "dispersion_max_ps_nm",
        "min_return_loss_db",
        "max_reflectance_db",
    ]);
    if rx.overload.is_some() || rx.damage.is_some() {
        columns.push("tx_max_dbm");
    }
    match pair.window.basis {
        Basis::ChannelLoss | Basis::Breakout => columns.push("max_channel_loss_db"),
        Basis::MeanLevels => columns.push("tx_min_dbm"),
        Basis::AmplitudeLevels => columns.extend(["tx_min_dbm", "tx_oma_minus_penalty_min_dbm"]),
        Basis::ClassLevels | Basis::ClassRange | Basis::Unknown => {}
    }
    match pair.fiber_kind {
        FiberKind::SingleMode => columns.push("reach_g652_m"),
        FiberKind::Multimode => {
            let grades = fibers.iter().filter_map(|fiber| Grade::of(fiber));
            columns.extend(grades.map(|grade| OF_GRADES[grade.index()][0]));
            if let PairGrade::Known(grade) = pair.grade {
                columns.push(OF_GRADES[grade.index()][1]);
            }
        }
    }
    if tx.family != rx.family && pair.window.same_kind {
        columns.push("mates_with");
    }
    columns
}

/// Columns of a PON class that its downstream asks of the way, its least launch apart.
const DOWN_SENDER: [&str; 9] = [
    "down_nm_min",
    "down_nm",
    "down_nm_max",
    "olt_tx_max_dbm",
    "reach_km",
    "differential_reach_km",
    "differential_loss_db",
    "min_return_loss_db",
    "max_reflectance_db",
];

/// The same of its upstream.
const UP_SENDER: [&str; 9] = [
    "up_nm_min",
    "up_nm",
    "up_nm_max",
    "onu_tx_max_dbm",
    "reach_km",
    "differential_reach_km",
    "differential_loss_db",
    "min_return_loss_db",
    "max_reflectance_db",
];

/// The columns that hold reach and channel loss on a grade of multimode fiber.
const OF_GRADES: [[&str; 2]; 5] = [
    ["reach_om1_m", "channel_loss_om1_db"],
    ["reach_om2_m", "channel_loss_om2_db"],
    ["reach_om3_m", "channel_loss_om3_db"],
    ["reach_om4_m", "channel_loss_om4_db"],
    ["reach_om5_m", "channel_loss_om5_db"],
];

/// Columns of the receiving optic: what it needs, what it bears, which wavelengths it takes.
pub(super) fn of_receiver(tables: &Tables, pair: &Pair, tx: &Optic, rx: &Optic) -> Vec<&'static str> {
    let mut columns = Vec::new();
    if rx.role != Role::Peer {
        let down = pair.direction == Direction::Downstream;
        columns.push(if down { "onu_overload_dbm" } else { "olt_overload_dbm" });
        if pair.window.basis == Basis::ClassLevels {
            columns.push(if down { "onu_sensitivity_dbm" } else { "olt_sensitivity_dbm" });
            columns.push(if down { "penalty_down_db" } else { "penalty_up_db" });
        }
        columns.extend(if down {
            ["down_nm_min", "down_nm", "down_nm_max"]
        } else {
            ["up_nm_min", "up_nm", "up_nm_max"]
        });
        return columns;
    }
    columns.push("damage_dbm");
    if rx.overload.is_some() {
        columns.push("overload_dbm");
    }
    if pair.window.same_kind {
        columns.push("min_channel_loss_db");
    }
    let row = rx.interface(tables).map(|row| &row.value);
    match pair.window.basis {
        Basis::MeanLevels if row.is_some_and(|row| row.receive_min.is_none()) => {
            columns.extend(["sensitivity_dbm", "penalty_db"]);
        }
        Basis::MeanLevels => columns.push("rx_min_dbm"),
        Basis::AmplitudeLevels => columns.extend(["rx_min_dbm", "sensitivity_dbm"]),
        _ => {}
    }
    // A duplex receiver without a range of its own takes that of its transmitter.
    let own = row.is_some_and(|row| !row.receive.is_empty());
    match (own, tx.channel.is_some() && tx.channel == rx.channel) {
        (true, _) => columns.extend(["rx_nm_min", "rx_nm_max"]),
        (false, false) if !rx.receive.is_empty() => columns.extend(["tx_nm_min", "tx_nm_max"]),
        _ => {}
    }
    columns
}

/// Columns of an optic that a port of an inventory is judged by.
pub(super) fn of_lone_optic(optic: &Optic) -> &'static [&'static str] {
    match optic.role {
        Role::Olt => &[
            "down_nm_min",
            "down_nm_max",
            "olt_tx_min_dbm",
            "olt_tx_max_dbm",
            "olt_sensitivity_dbm",
            "olt_overload_dbm",
            "max_loss_down_db",
            "max_loss_up_db",
        ],
        Role::Onu => &[
            "up_nm_min",
            "up_nm_max",
            "onu_tx_min_dbm",
            "onu_tx_max_dbm",
            "onu_sensitivity_dbm",
            "onu_overload_dbm",
        ],
        Role::Peer => &[
            "fiber_kind",
            "fibers",
            "tx_nm_min",
            "tx_nm_max",
            "tx_min_dbm",
            "tx_max_dbm",
            "rx_min_dbm",
            "overload_dbm",
            "damage_dbm",
            "max_channel_loss_db",
            "reach_g652_m",
        ],
    }
}
