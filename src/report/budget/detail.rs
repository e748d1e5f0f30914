//! One path, element by element, in all faces.

use std::fmt::Write as _;

use serde::Serialize;

use super::Budget;
use super::rows::{EndRow, clean};
use crate::budget::{Detail, DetailLine, Direction};
use crate::check::words;
use crate::loss::{RowRef, TableName};
use crate::report::grid::{Lean, grid};
use crate::report::paint::Paint;
use crate::units::{DecibelMilliwatts, Decibels, Kilometers};

/// One element of a path.
#[derive(Debug, Serialize)]
pub(super) struct ElementRow {
    kind: &'static str,
    element: String,
    made_by: String,
    count: u32,
    length_km: Option<f64>,
    least_db: f64,
    typical_db: f64,
    most_db: f64,
    cumulative_most_db: f64,
    level_least_dbm: Option<f64>,
    level_most_dbm: Option<f64>,
    rows: Vec<String>,
}

/// One path.
#[derive(Debug, Serialize)]
pub(super) struct PathRow<'a> {
    end: EndRow<'a>,
    elements: Vec<ElementRow>,
    missing: Vec<String>,
    return_loss_discrete_db: Option<f64>,
    return_loss_total_db: Option<f64>,
    joints_without_reflectance: u32,
}

/// One open connector.
#[derive(Debug, Serialize)]
pub(super) struct HazardRow {
    point: String,
    power_dbm: f64,
    wavelengths_nm: Vec<f64>,
    hazard_level: Option<String>,
    edition: Option<String>,
}

pub(super) fn hazard_rows(budget: &Budget<'_>) -> Vec<HazardRow> {
    let row = |hazard: &crate::budget::Hazard| HazardRow {
        point: budget.view.plan.point_name(hazard.point),
        power_dbm: clean(hazard.power.value()),
        wavelengths_nm: hazard.wavelengths.iter().map(|nm| nm.value()).collect(),
        hazard_level: hazard.level.clone(),
        edition: hazard.edition.clone(),
    };
    budget.hazards.iter().map(row).collect()
}

impl<'a> PathRow<'a> {
    pub(super) fn of(budget: &Budget<'a>, detail: &Detail) -> Self {
        let view = budget.view;
        let at = view.assessment.pair(&detail.end).band.nominal;
        Self {
            end: EndRow::of(view, &detail.end),
            elements: detail.lines.iter().map(|line| ElementRow::of(budget, line)).collect(),
            missing: detail.missing.iter().map(|m| words::missing(view.plan, *m, at)).collect(),
            return_loss_discrete_db: detail.reflections.discrete().map(|d| clean(d.value())),
            return_loss_total_db: detail.reflections.total().map(|d| clean(d.value())),
            joints_without_reflectance: detail.reflections.unknown,
        }
    }
}

impl ElementRow {
    fn of(budget: &Budget<'_>, line: &DetailLine) -> Self {
        let part = &line.part;
        let total = part.total();
        let db = |value: Decibels| clean(value.value());
        let dbm = |value: Option<DecibelMilliwatts>| value.map(|level| clean(level.value()));
        Self {
            kind: words::part_kind(part.kind),
            element: words::element(budget.view.plan, part.element),
            made_by: made_by(budget, line),
            count: part.count,
            length_km: (part.length > Kilometers::ZERO).then(|| clean(part.length.value())),
            least_db: db(total.least),
            typical_db: db(total.typical),
            most_db: db(total.most),
            cumulative_most_db: db(line.reached[2]),
            level_least_dbm: dbm(line.level[0]),
            level_most_dbm: dbm(line.level[1]),
            rows: part.rows.iter().flatten().map(|row| row_name(budget, *row)).collect(),
        }
    }
}

/// How an element is made: its fiber type, its joint.
fn made_by(budget: &Budget<'_>, line: &DetailLine) -> String {
    let plan = budget.view.plan;
    match (line.part.joint, line.part.element) {
        (Some(joint), _) => words::joint(plan, joint),
        (None, crate::loss::ElementRef::Span(index)) => {
            let fiber = plan.spans[index as usize].fiber;
            plan.fibers.get(usize::from(fiber)).cloned().unwrap_or_default()
        }
        _ => String::new(),
    }
}

fn row_name(budget: &Budget<'_>, row: RowRef) -> String {
    let tables = budget.view.tables;
    let (table, key) = match row.table {
        TableName::Attenuation => (tables.attenuation.name, &tables.attenuation.row(row.row).key),
        TableName::Transitions => (tables.transitions.name, &tables.transitions.row(row.row).key),
        TableName::Connectors => (tables.connectors.name, &tables.connectors.row(row.row).key),
        TableName::Splices => (tables.splices.name, &tables.splices.row(row.row).key),
        TableName::Splitters => (tables.splitters.name, &tables.splitters.row(row.row).key),
        TableName::Taps => (tables.taps.name, &tables.taps.row(row.row).key),
        TableName::WdmElements => (tables.wdm_elements.name, &tables.wdm_elements.row(row.row).key),
        TableName::PonClasses => (tables.pon_classes.name, &tables.pon_classes.row(row.row).key),
        TableName::Interfaces => (tables.interfaces.name, &tables.interfaces.row(row.row).key),
        TableName::Polishes => (tables.polishes.name, &tables.polishes.row(row.row).key),
        TableName::Fibers => (tables.fibers.name, &tables.fibers.row(row.row).key),
        TableName::Dispersion => {
            (tables.dispersion_points.name, &tables.dispersion_points.row(row.row).key)
        }
    };
    format!("{table}: {key}")
}

/// The path as a table for people.
pub(super) fn table(budget: &Budget<'_>, detail: &Detail, paint: Paint) -> String {
    let view = budget.view;
    let end = &detail.end;
    let pair = view.assessment.pair(end);
    let direction = match end.direction {
        Direction::Downstream | Direction::Upstream => format!(", {}", end.direction.word()),
        Direction::AToB | Direction::BToA => String::new(),
    };
    let head = format!(
        "{} to {}{direction}, {} of {}",
        view.port_name(end.transmitter),
        view.port_name(end.receiver),
        pair.band.nominal,
        view.optic_name(pair.transmitter),
    );
    let mut text = format!("{}\n", paint.strong(&head));
    let heads = [
        ("#", Lean::Right),
        ("element", Lean::Left),
        ("where", Lean::Left),
        ("made by", Lean::Left),
        ("qty", Lean::Right),
        ("km", Lean::Right),
        ("least, dB", Lean::Right),
        ("typical, dB", Lean::Right),
        ("most, dB", Lean::Right),
        ("sum of most, dB", Lean::Right),
        ("level, dBm", Lean::Right),
    ];
    let mut rows = vec![launch_row(&pair.window.launch)];
    rows.extend(detail.lines.iter().enumerate().map(|(index, line)| table_row(budget, index + 1, line)));
    text.push_str(&grid(&heads, &rows, paint));
    text.push_str(&totals(budget, detail, paint));
    text
}

fn launch_row(launch: &[Option<DecibelMilliwatts>; 2]) -> Vec<String> {
    let mut row = vec![String::new(), "launch".to_string()];
    row.extend(std::iter::repeat_n(String::new(), 8));
    row.push(levels(launch));
    row
}

fn table_row(budget: &Budget<'_>, number: usize, line: &DetailLine) -> Vec<String> {
    let row = ElementRow::of(budget, line);
    let total = line.part.total();
    let up = |value: Decibels| format!("{:.2}", value.rounded_up().value());
    vec![
        number.to_string(),
        row.kind.to_string(),
        row.element,
        row.made_by,
        if row.count == 1 { String::new() } else { row.count.to_string() },
        row.length_km.map_or_else(String::new, |km| format!("{km:.3}")),
        format!("{:.2}", total.least.rounded_down().value()),
        format!("{:.2}", total.typical.value()),
        up(total.most),
        up(line.reached[2]),
        levels(&line.level),
    ]
}

/// `-14.40 … -3.10`: lowest and highest level.
fn levels(level: &[Option<DecibelMilliwatts>; 2]) -> String {
    // A value that rounds to nothing loses its sign.
    let shown =
        |level: DecibelMilliwatts| format!("{:.2}", (level.value() * 100.0).round() / 100.0 + 0.0);
    match *level {
        [Some(least), Some(most)] => format!("{} … {}", shown(least), shown(most)),
        [Some(only), None] | [None, Some(only)] => shown(only),
        [None, None] => "?".to_string(),
    }
}

/// What the sums come to against the optics' limits.
fn totals(budget: &Budget<'_>, detail: &Detail, paint: Paint) -> String {
    let view = budget.view;
    let end = &detail.end;
    let window = view.assessment.pair(end).window;
    let mut text = String::new();
    let shown =
        |value: Option<Decibels>| value.map_or_else(|| "not known".to_string(), |d| d.to_string());
    let mut line = |head: &str, body: String| {
        let _ = writeln!(text, "  {head:<12}{body}");
    };
    if end.missing.is_none() {
        line(
            "loss",
            format!(
                "{} least, {} typical, {} worst case",
                end.least.rounded_down(),
                end.typical,
                end.most.rounded_up()
            ),
        );
    }
    if let Some(s) = end.statistics {
        let spare = if s.spare == Decibels::ZERO {
            String::new()
        } else {
            format!("; the optics have {} to spare", s.spare.rounded_down())
        };
        line(
            "statistical",
            format!(
                "{} at {} confidence (numerical error at most {:.4}); mean {} and {} spread; normal rule {}{spare}",
                s.quantile.rounded_up(),
                view.plan.assumptions.confidence,
                s.error_bound,
                s.mean,
                s.spread,
                s.normal_quantile.rounded_up()
            ),
        );
    }
    let range = format!("{} to {}", shown(window.min), shown(window.max));
    line("allowed", format!("{range} ({})", window.basis.words()));
    let level = |level: Option<DecibelMilliwatts>| {
        level.map_or_else(|| "not known".to_string(), |d| d.to_string())
    };
    let penalty = window.penalty.map_or_else(String::new, |p| format!(", path penalty {p}"));
    line(
        "receiver",
        format!("least {}, overload {}{penalty}", level(window.sensitivity), level(window.overload)),
    );
    let margin = end.margin(&window).map(Decibels::rounded_down);
    let headroom = end.headroom(&window).map(Decibels::rounded_down);
    line("margin", format!("{} (reserve asked {})", shown(margin), view.plan.assumptions.reserve));
    line("headroom", shown(headroom));
    if let Some(closes) = end.statistics.and_then(|s| s.closes) {
        line("yield", closes.to_string());
    }
    if let Some((low, high)) = end.dispersion {
        line("dispersion", format!("{low:.1} to {high:.1} at the window's edges"));
    }
    line("return loss", return_loss(detail));
    let decides = view.decides(end);
    if !decides.is_empty() {
        line("decides", decides);
    }
    let verdict = paint.verdict(end.verdict, &end.verdict.word().to_uppercase());
    line("verdict", format!("{verdict}: {}", super::summary::reason(view, end)));
    text
}

fn return_loss(detail: &Detail) -> String {
    let seen = &detail.reflections;
    let shown = |loss: Option<Decibels>| {
        loss.map_or_else(|| "none".to_string(), |d| d.rounded_down().to_string())
    };
    let unknown = match seen.unknown {
        0 => String::new(),
        count => format!("; {count} joints state no reflectance and are left out"),
    };
    format!("joints {}, with backscatter {}{unknown}", shown(seen.discrete()), shown(seen.total()))
}
