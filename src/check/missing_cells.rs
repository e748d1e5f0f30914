//! Which cells of tables a window is missing: what a row would have to say for its ends to be judged.

use crate::budget::Pair;
use crate::check::view::View;
use crate::tables::{Family, Interface, LevelTerms, Optic, Role};

/// A cell that is empty: the row and its column.
type Cell = (String, &'static str);

/// The cells without which the greatest loss between two optics is not known, in words; empty where it
/// is not for want of cells.
pub fn of_loss(view: &View<'_>, pair: &Pair) -> String {
    let tables = view.tables;
    let optic = |index| view.assessment.pairs.optic(index);
    let (Some(tx), Some(rx)) = (optic(pair.transmitter), optic(pair.receiver)) else {
        return String::new();
    };
    let cells = match (tx.family, rx.family) {
        (Family::Pon(a), Family::Pon(b)) => {
            let (a, b) = (tables.pon_classes.row(a), tables.pon_classes.row(b));
            let down = tx.role == Role::Olt;
            let names = if down {
                ["olt_tx_min_dbm", "onu_sensitivity_dbm", "penalty_down_db"]
            } else {
                ["onu_tx_min_dbm", "olt_sensitivity_dbm", "penalty_up_db"]
            };
            let penalty = |class: &crate::tables::PonClass| {
                if down { class.penalty_down } else { class.penalty_up }
            };
            let mut cells: Vec<Cell> = Vec::new();
            cells.extend(empty(tx.launch[0], &a.key, names[0]));
            cells.extend(empty(rx.receive_least, &b.key, names[1]));
            for row in [a, b] {
                cells.extend(empty(penalty(&row.value), &row.key, names[2]));
            }
            cells
        }
        (Family::Interface(a), Family::Interface(b)) => {
            let (a, b) = (tables.interfaces.row(a), tables.interfaces.row(b));
            by_levels((tx, &a.key, &a.value), (rx, &b.key, &b.value))
        }
        _ => return String::new(),
    };
    words(cells, table(tx))
}

/// Between interfaces without a channel loss, the levels decide: in modulation amplitude where either
/// states it, else in mean power.
fn by_levels(
    (tx, tx_key, tx_row): (&Optic, &str, &Interface),
    (rx, rx_key, rx_row): (&Optic, &str, &Interface),
) -> Vec<Cell> {
    let mut cells: Vec<Cell> = Vec::new();
    let amplitude = [tx_row, rx_row].iter().any(|row| row.levels == Some(LevelTerms::Oma));
    if amplitude {
        cells.extend(empty(tx_row.launch_oma_less_penalty, tx_key, "tx_oma_minus_penalty_min_dbm"));
        let oma = rx_row.sensitivity.filter(|known| known.1 == Some(LevelTerms::Oma));
        cells.extend(empty(oma, rx_key, "sensitivity_dbm (in `oma`)"));
        return cells;
    }
    cells.extend(empty(tx.launch[0], tx_key, "tx_min_dbm"));
    if rx.receive_least.is_none() {
        match rx_row.sensitivity {
            Some((_, Some(LevelTerms::Mean))) => {
                cells.extend(empty(rx_row.penalty.any, rx_key, "penalty_db"));
            }
            Some((_, None)) => cells.push((rx_key.to_string(), "sensitivity_terms")),
            _ => cells.push((rx_key.to_string(), "rx_min_dbm")),
        }
    }
    cells
}

/// The cells without which it is not known how much light the receiver bears, in words.
pub fn of_overload(view: &View<'_>, pair: &Pair) -> String {
    let optic = |index| view.assessment.pairs.optic(index);
    let (Some(tx), Some(rx)) = (optic(pair.transmitter), optic(pair.receiver)) else {
        return String::new();
    };
    let names = match (tx.role, rx.role) {
        (Role::Olt, _) => ["olt_tx_max_dbm", "onu_overload_dbm"],
        (Role::Onu, _) => ["onu_tx_max_dbm", "olt_overload_dbm"],
        (Role::Peer, _) => ["tx_max_dbm", "overload_dbm"],
    };
    let key = |optic: &Optic| match optic.family {
        Family::Pon(id) => view.tables.pon_classes.row(id).key.clone(),
        Family::Interface(id) => view.tables.interfaces.row(id).key.clone(),
    };
    let mut cells: Vec<Cell> = Vec::new();
    cells.extend(empty(tx.launch[1], &key(tx), names[0]));
    cells.extend(empty(rx.overload, &key(rx), names[1]));
    words(cells, table(tx))
}

fn empty<T: Copy>(value: Option<T>, row: &str, column: &'static str) -> Option<Cell> {
    value.is_none().then(|| (row.to_string(), column))
}

const fn table(optic: &Optic) -> &'static str {
    match optic.family {
        Family::Pon(_) => "pon-classes",
        Family::Interface(_) => "interfaces",
    }
}

/// The cells by their rows, in the order in which they were met.
fn words(cells: Vec<Cell>, table: &str) -> String {
    let mut rows: Vec<(String, Vec<String>)> = Vec::new();
    for (row, column) in cells {
        let column = match column.split_once(' ') {
            Some((column, more)) => format!("`{column}` {more}"),
            None => format!("`{column}`"),
        };
        match rows.iter_mut().find(|known| known.0 == row) {
            Some(known) if known.1.contains(&column) => {}
            Some(known) => known.1.push(column),
            None => rows.push((row, vec![column])),
        }
    }
    if rows.is_empty() {
        return String::new();
    }
    let rows = rows.into_iter().map(|(row, columns)| format!("{} of `{row}`", columns.join(" and ")));
    let rows: Vec<String> = rows.collect();
    format!(": the table `{table}` lacks {}", rows.join(" and "))
}
