//! Loss figures from their columns, and what is taken where a table of one's own leaves some out.
//!
//! `most` must be stated. What is left out is taken so that no result looks better for it:
//! - neither `least` nor `typical`: `typical` is `most`, nothing is gained by statistics; `least`
//!   is the floor that physics sets (10 log10 N for a splitter, else 0), for the overload check;
//! - `typical` alone: uniform from `least` to `most`, `typical` in the middle;
//! - `least` alone: the floor;
//! - `spread`: where the loss that 97 % keep is stated, that of the law through it and the mean; else half
//!   the way from `typical` to `most`, so that `most` lies two standard deviations
//!   out; for a uniform shape its own;
//! - `shape`: normal, or fixed where there is no spread.
//!
//! Each figure taken is said in the row's note.

use super::cells::Cells;
use crate::check::plan_rules::table_impossible_loss;
use crate::loss::spread_within;
use crate::tables::{LossFigures, ShapeKind};
use crate::units::Decibels;

/// The names of the columns that hold one set of loss figures.
pub(super) struct FigureColumns {
    pub least: &'static str,
    pub typical: &'static str,
    pub most: &'static str,
    pub spread: &'static str,
    pub shape: Option<&'static str>,
    /// The loss that 97 % keep, in place of the spread.
    pub within: Option<&'static str>,
}

/// The columns of a table with one set of figures.
pub(super) const LOSS_COLUMNS: FigureColumns = FigureColumns {
    least: "least_db",
    typical: "typical_db",
    most: "most_db",
    spread: "spread_db",
    shape: Some("shape"),
    within: None,
};

/// The columns of tables of joints, whose standards state a mean and what 97 % of them keep.
pub(super) const JOINT_COLUMNS: FigureColumns =
    FigureColumns { within: Some("within_97_db"), ..LOSS_COLUMNS };

/// What the cells state, before anything is taken for what they leave out.
struct StatedFigures {
    least: Option<Decibels>,
    typical: Option<Decibels>,
    most: Decibels,
    spread: Option<Decibels>,
    shape: Option<ShapeKind>,
}

/// Rounding of printed figures: 3.01 stands for 3.0103.
pub(super) const PRINTED: Decibels = Decibels::new(0.005);

/// What physics says of the least loss of an element.
#[derive(Clone, Copy)]
pub(super) struct Floor {
    /// No figure may lie under it.
    pub ideal: Decibels,
    /// What `least` is where it is not stated.
    pub taken: Decibels,
}

impl Floor {
    /// An element that may lose nothing.
    pub const NONE: Self = Self { ideal: Decibels::ZERO, taken: Decibels::ZERO };
}

/// Reads a set of loss figures.
pub(super) fn loss_figures(
    cells: &mut Cells<'_>,
    columns: &FigureColumns,
    floor: Floor,
) -> Option<LossFigures> {
    let least = cells.loss(columns.least);
    let typical = cells.loss(columns.typical);
    let most = cells.loss(columns.most);
    let most = cells.need(columns.most, most);
    let spread = cells.loss(columns.spread);
    let words: Vec<_> = ShapeKind::words().collect();
    let shape = columns.shape.and_then(|column| cells.word(column, ShapeKind::from_word, &words));
    let spread = match columns.within.filter(|column| !cells.text(column).is_empty()) {
        None => spread,
        Some(column) => Some(spread_through(cells, (columns, column), [least, typical, spread], shape)?),
    };
    let stated = StatedFigures { least, typical, most: most?, spread, shape };
    if !possible(cells, columns, &stated, floor.ideal) || !shape_has_figures(cells, columns, &stated) {
        return None;
    }
    let figures = complete(cells, columns, &stated, floor.taken);
    match figures.checked() {
        Ok(figures) => Some(figures),
        Err(error) => {
            let LossFigures { least, typical, most, .. } = figures;
            let column = if least > typical { columns.typical } else { columns.most };
            let message = format!(
                "{error}: least {}, typical {}, most {}",
                least.in_full(),
                typical.in_full(),
                most.in_full()
            );
            cells.bad(column, message, "");
            None
        }
    }
}

/// The spread of the law through the mean and the loss that 97 % keep.
fn spread_through(
    cells: &mut Cells<'_>,
    (columns, column): (&FigureColumns, &'static str),
    [least, typical, spread]: [Option<Decibels>; 3],
    shape: Option<ShapeKind>,
) -> Option<Decibels> {
    let within = cells.loss(column)?;
    if spread.is_some() {
        let message = format!("`{}` and `{column}` both say how far the losses spread", columns.spread);
        cells.bad(column, message, "state one of them");
        return None;
    }
    let (Some(typical), Some(shape)) = (typical, shape) else {
        let needed = [columns.typical, columns.shape.unwrap_or_default()].join("` and `");
        cells.bad(column, format!("`{column}` needs `{needed}`, which are not both stated"), "");
        return None;
    };
    let least = least.unwrap_or(Decibels::ZERO);
    let found = spread_within(shape, [least, typical, within]);
    if found.is_none() {
        let message = format!(
            "no law of this shape from {least} with the mean {typical} keeps 97 % within {within}"
        );
        cells.bad(column, message, "gamma, weibull and lognormal reach 3.5 times the mean and more");
    }
    found
}

/// No figure may lie under the loss of an ideal element.
fn possible(
    cells: &mut Cells<'_>,
    columns: &FigureColumns,
    stated: &StatedFigures,
    ideal: Decibels,
) -> bool {
    let written = [
        (columns.least, stated.least),
        (columns.typical, stated.typical),
        (columns.most, Some(stated.most)),
    ];
    let low = |value: &Decibels| *value + PRINTED < ideal;
    let mut all_possible = true;
    for (column, value) in written {
        if let Some(value) = value.filter(low) {
            let message = format!("{} is less than an ideal element loses: {ideal:.4}", value.in_full());
            cells.hit(&table_impossible_loss::RULE, column, message, String::new());
            all_possible = false;
        }
    }
    all_possible
}

/// A shape needs the figures it is drawn from.
fn shape_has_figures(cells: &mut Cells<'_>, columns: &FigureColumns, stated: &StatedFigures) -> bool {
    let (Some(shape), Some(column)) = (stated.shape, columns.shape) else { return true };
    let single = stated.least.is_none_or(|least| least == stated.most);
    let missing = match (shape, stated.typical) {
        (ShapeKind::Uniform, _) if stated.least.is_none() => columns.least,
        (ShapeKind::Uniform, _) | (_, Some(_)) => return true,
        (ShapeKind::Fixed, None) if single => return true,
        (_, None) => columns.typical,
    };
    let word = cells.text(column);
    cells.bad(column, format!("the shape `{word}` needs `{missing}`, which is empty"), "");
    false
}

fn complete(
    cells: &mut Cells<'_>,
    columns: &FigureColumns,
    stated: &StatedFigures,
    floor: Decibels,
) -> LossFigures {
    let most = stated.most;
    let least = stated.least.unwrap_or_else(|| {
        let taken = floor.min(stated.typical.unwrap_or(most));
        cells.assume(columns.least, taken);
        taken
    });
    let shape = stated.shape.unwrap_or_else(|| default_shape(stated));
    let typical = stated.typical.unwrap_or_else(|| {
        let taken = if stated.least.is_some() { (least + most) * 0.5 } else { most };
        cells.assume(columns.typical, taken);
        taken
    });
    let spread = stated.spread.unwrap_or_else(|| {
        let taken = default_spread(shape, [least, typical, most]);
        cells.assume(columns.spread, format_args!("{taken:.3}"));
        taken
    });
    LossFigures { least, typical, most, spread, shape }
}

fn default_shape(stated: &StatedFigures) -> ShapeKind {
    let single = stated.least.or(stated.typical).is_none_or(|value| value == stated.most);
    match stated.spread {
        _ if stated.typical.is_none() && !single => ShapeKind::Uniform,
        Some(spread) if spread > Decibels::ZERO => ShapeKind::Normal,
        Some(_) => ShapeKind::Fixed,
        None if single => ShapeKind::Fixed,
        None => ShapeKind::Normal,
    }
}

fn default_spread(shape: ShapeKind, [least, typical, most]: [Decibels; 3]) -> Decibels {
    match shape {
        ShapeKind::Fixed => Decibels::ZERO,
        ShapeKind::Uniform => (most - least) * (1.0 / 12f64.sqrt()),
        _ => ((most - typical) * 0.5).max(Decibels::ZERO),
    }
}
