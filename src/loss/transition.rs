//! The extra loss where two unlike fibers meet: from its row, else from their mode fields.

use rustc_hash::{FxHashMap, FxHashSet};

use super::{RowRef, TableName};
use crate::plan::{Plan, PointRef};
use crate::plant::runs_through;
use crate::tables::{FiberKind, FiberType, LossFigures, RowId, Tables};
use crate::units::{Decibels, Micrometers, Nanometers};

/// Where the extra loss of two unlike fibers comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ExtraLoss {
    /// A row of `fiber-transitions`.
    Stated,
    /// The nominal mode fields of both.
    ModeFields,
    /// Nothing is known of it, so that nothing is counted.
    Unknown,
}

/// The extra loss between every two unlike fiber names of the plan, in both orders, and its rows. One fiber
/// may stand in a plan under several of its names.
pub(super) type Transitions = FxHashMap<(u16, u16), (LossFigures, [Option<RowRef>; 2])>;

/// Looks up what every two fibers of a plan lose where they meet, at a wavelength.
pub(super) fn transitions(plan: &Plan, tables: &Tables, at: Nanometers) -> Transitions {
    let mut found = by_mode_fields(plan, tables, at);
    for (pair, row) in stated(plan, tables) {
        let figures = tables.transitions.row(row).value.figures;
        found.insert(pair, (figures, [Some(RowRef { table: TableName::Transitions, row }), None]));
    }
    found
}

/// The rows of `fiber-transitions` that concern fibers of the plan.
fn stated(plan: &Plan, tables: &Tables) -> FxHashMap<(u16, u16), RowId> {
    let key = |fiber: &str| {
        tables.fibers.get(fiber).map_or_else(|| fiber.to_lowercase(), |row| row.key.to_lowercase())
    };
    let keys: Vec<String> = plan.fibers.iter().map(|fiber| key(fiber)).collect();
    let named = |fiber: &str| {
        let wanted = key(fiber);
        let matching = keys.iter().enumerate().filter(move |(_, known)| **known == wanted);
        matching.map(|(index, _)| index as u16).collect::<Vec<_>>()
    };
    let mut found = FxHashMap::default();
    for (row, transition) in tables.transitions.rows().iter().enumerate() {
        for a in named(&transition.value.fiber_a) {
            for b in named(&transition.value.fiber_b) {
                found.insert((a, b), RowId(row as u32));
                found.insert((b, a), RowId(row as u32));
            }
        }
    }
    found
}

fn by_mode_fields(plan: &Plan, tables: &Tables, at: Nanometers) -> Transitions {
    let mut found = Transitions::default();
    for (a, b) in pairs(plan) {
        let rows = [a, b].map(|fiber| tables.fibers.find(&plan.fibers[usize::from(fiber)]));
        let [Some(row_a), Some(row_b)] = rows else { continue };
        let types = (&tables.fibers.row(row_a).value, &tables.fibers.row(row_b).value);
        if let Some((field_a, field_b)) = mode_fields(types.0, types.1, at) {
            let figures = LossFigures::fixed(mode_field_mismatch(field_a, field_b));
            let rows = [row_a, row_b].map(|row| Some(RowRef { table: TableName::Fibers, row }));
            found.insert((a, b), (figures, rows));
        }
    }
    found
}

/// Every two fiber names of a plan, in both orders.
fn pairs(plan: &Plan) -> impl Iterator<Item = (u16, u16)> {
    let count = plan.fibers.len() as u16;
    (0..count).flat_map(move |a| (0..count).filter(move |b| a != *b).map(move |b| (a, b)))
}

/// The nominal mode fields of two single-mode fibers at a wavelength: on the line through their values at
/// 1310 and 1550 nm, or at the one of these two that both state.
fn mode_fields(a: &FiberType, b: &FiberType, at: Nanometers) -> Option<(Micrometers, Micrometers)> {
    if a.kind != FiberKind::SingleMode || b.kind != FiberKind::SingleMode {
        return None;
    }
    let both = |index: usize| Some((a.mode_field[index]?, b.mode_field[index]?));
    match (both(0), both(1)) {
        (Some(short), Some(long)) => {
            let part = (at.value() - 1310.0) / (1550.0 - 1310.0);
            let between = |x: Micrometers, y: Micrometers| {
                Micrometers::new(x.value() + part * (y.value() - x.value()))
            };
            Some((between(short.0, long.0), between(short.1, long.1)))
        }
        (short, long) => short.or(long),
    }
}

/// What light loses from one mode field diameter into another at a joint without offset or tilt:
/// `20 log10((a² + b²) / 2ab)`, of two Gaussian fields (textbook form). It is the same in both directions.
/// The spread of mode fields around their nominal values is part of the loss of the joint itself.
pub fn mode_field_mismatch(a: Micrometers, b: Micrometers) -> Decibels {
    let (a, b) = (a.value(), b.value());
    Decibels::new(20.0 * ((a * a + b * b) / (2.0 * a * b)).log10())
}

/// Which unlike fibers meet in a plan, by index with the smaller first and sorted, and where their extra loss
/// comes from.
pub fn unlike_fibers(plan: &Plan, tables: &Tables) -> Vec<((u16, u16), ExtraLoss)> {
    let stated = stated(plan, tables);
    let row = |fiber: u16| tables.fibers.get(&plan.fibers[usize::from(fiber)]).map(|row| &row.value);
    let of = |(a, b): (u16, u16)| {
        let alike = |name: u16| tables.fibers.find(&plan.fibers[usize::from(name)]);
        if stated.contains_key(&(a, b)) || (alike(a).is_some() && alike(a) == alike(b)) {
            return ExtraLoss::Stated;
        }
        let fields = row(a).zip(row(b)).and_then(|(a, b)| mode_fields(a, b, Nanometers::new(1550.0)));
        if fields.is_some() { ExtraLoss::ModeFields } else { ExtraLoss::Unknown }
    };
    // A plan of one fiber, and one whose fibers all have their rows, need not be walked.
    if pairs(plan).all(|pair| of(pair) == ExtraLoss::Stated) {
        return Vec::new();
    }
    let mut met: FxHashMap<PointRef, u16> = FxHashMap::default();
    let mut found = FxHashSet::default();
    for span in &plan.spans {
        for point in [span.from, span.to].into_iter().filter(|point| runs_through(*point)) {
            let other = *met.entry(point).or_insert(span.fiber);
            if other != span.fiber {
                found.insert((other.min(span.fiber), other.max(span.fiber)));
            }
        }
    }
    let mut found: Vec<_> = found.into_iter().map(|pair| (pair, of(pair))).collect();
    found.sort_by_key(|(pair, _)| *pair);
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Ratio and loss of a public table of mode field mismatch: 1.2 to 1 loses 0.14 dB, 1.5 to 1 0.7 dB,
    /// 1.65 to 1 1.05 dB, 2 to 1 1.9 dB.
    #[test]
    fn mismatch_as_tabulated() {
        for (ratio, loss) in [(1.0, 0.0), (1.2, 0.14), (1.5, 0.7), (1.65, 1.05), (2.0, 1.9)] {
            let at = |a: f64, b: f64| mode_field_mismatch(Micrometers::new(a), Micrometers::new(b));
            approx::assert_abs_diff_eq!(at(6.0 * ratio, 6.0).value(), loss, epsilon = 0.05);
            assert_eq!(at(6.0 * ratio, 6.0), at(6.0, 6.0 * ratio));
        }
    }
}
