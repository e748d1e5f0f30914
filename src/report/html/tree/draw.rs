//! The diagram as SVG.

use super::layout::Grid;
use super::stops::{Ends, Kind, Stop};
use crate::report::document::{Document, GroupLine, sign};
use crate::report::html::svg::{Svg, short};
use crate::units::Decibels;

/// Width of a box.
const BOX: f64 = 164.0;
/// Width that a mere coupling takes.
const COUPLING: f64 = 96.0;
/// Room between two columns: the label of the fiber stands in it.
const GAP: f64 = 70.0;
/// Height of a line of text.
const LINE: f64 = 14.0;
/// Height of a box's head.
const HEAD: f64 = 56.0;
/// Where the line of light runs within a row.
const AXIS: f64 = 44.0;

/// The drawing.
pub(super) fn svg(document: &Document<'_>, line: &GroupLine<'_>, stops: &[Stop], grid: &Grid) -> String {
    let columns = columns(stops, grid);
    let rows = rows(stops, grid);
    let mut svg = Svg::default();
    for (index, stop) in stops.iter().enumerate().skip(1) {
        let cells = (grid.cells[stop.parent], grid.cells[index]);
        connect(document, &mut svg, (&columns, &rows), cells, stop);
    }
    for (stop, cell) in stops.iter().zip(&grid.cells) {
        let x = columns[cell.0].0;
        let y = rows[cell.1];
        let said = [stop.name.as_str(), stop.note.as_str()];
        svg.open("stop", &said.into_iter().filter(|s| !s.is_empty()).collect::<Vec<_>>().join(", "));
        if is_box(stop) {
            draw_box(document, &mut svg, stop, (x, y));
        } else {
            draw_coupling(document, &mut svg, stop, (x, columns[cell.0].1), y);
        }
        svg.close();
    }
    let width = columns.last().map_or(BOX, |(x, width)| x + width) + 40.0;
    let height = rows.last().copied().unwrap_or(0.0);
    let name = match line.far {
        Some(far) => format!("Straight-line diagram of the link {} to {far}", line.id),
        None => format!("Straight-line diagram of PON {}, {}", line.id, line.optic),
    };
    // Between two columns, behind the turn of the fibers.
    let cuts: Vec<f64> = columns.iter().skip(1).map(|(x, _)| x - 8.0).collect();
    svg.finish_with_cuts((width, height), "tree", (&name, &describe(stops)), &cuts)
}

/// The diagram in words.
fn describe(stops: &[Stop]) -> String {
    let said = stops.iter().take(40).map(|stop| {
        let ends = stop.ends.as_ref().map_or_else(String::new, |ends| format!(", {} ends", ends.count));
        format!("{} {}{ends}", stop.name, stop.note)
    });
    said.collect::<Vec<_>>().join("; ")
}

fn is_box(stop: &Stop) -> bool {
    stop.kind != Kind::Through || stop.ends.is_some() || !stop.flags.is_empty()
}

/// Left edge and width of each column.
fn columns(stops: &[Stop], grid: &Grid) -> Vec<(f64, f64)> {
    let mut widths = vec![COUPLING; grid.columns];
    for (_, cell) in stops.iter().zip(&grid.cells).filter(|(stop, _)| is_box(stop)) {
        widths[cell.0] = widths[cell.0].max(BOX);
    }
    let mut x = 8.0;
    widths
        .into_iter()
        .map(|width| {
            let column = (x, width);
            x += width + GAP;
            column
        })
        .collect()
}

/// Top edge of each row, and behind them the bottom of the drawing.
fn rows(stops: &[Stop], grid: &Grid) -> Vec<f64> {
    let mut heights = vec![0.0f64; grid.rows];
    for (stop, cell) in stops.iter().zip(&grid.cells) {
        let lines = if stop.ends.is_some() { 2 } else { 0 } + 2 * stop.flags.len();
        let height = 12.0 + HEAD + (lines as f64 * LINE).max(30.0) + 22.0;
        heights[cell.1] = heights[cell.1].max(height);
    }
    let mut top = 6.0;
    let mut rows = vec![top];
    for height in heights {
        top += height;
        rows.push(top);
    }
    rows
}

/// The fiber from a stop to the next, its length above it.
fn connect(
    document: &Document<'_>,
    svg: &mut Svg,
    grid: (&[(f64, f64)], &[f64]),
    cells: ((usize, usize), (usize, usize)),
    stop: &Stop,
) {
    let (columns, rows) = grid;
    let (from, to) = cells;
    let y = |cell: (usize, usize)| rows[cell.1] + AXIS;
    let right = columns[from.0].0 + columns[from.0].1;
    let left = columns[to.0].0;
    let turn = right + 10.0;
    if from.1 == to.1 {
        svg.line("fiber", &[(right, y(from)), (left, y(to))]);
    } else {
        svg.line("fiber", &[(right, y(from)), (turn, y(from)), (turn, y(to)), (left, y(to))]);
    }
    let (least, most) = stop.from_parent;
    let middle = f64::midpoint(turn, left);
    if most.value() > 0.0 {
        let label = if document.lengths.words(least) == document.lengths.words(most) {
            document.lengths.words(most)
        } else {
            format!("to {}", document.lengths.words(most))
        };
        svg.text("t-mid", (middle, y(to) - 7.0), &label);
    }
    if stop.fibers > 1 {
        svg.text("t-mid faint", (middle, y(to) + 15.0), &format!("{} fibers", stop.fibers));
    }
}

fn figures(document: &Document<'_>, stop: &Stop) -> String {
    let length = document.lengths.words(stop.length);
    let loss = stop.loss.map_or_else(String::new, |loss: Decibels| format!(" · {}", loss.rounded_up()));
    if stop.length.value() == 0.0 && loss.is_empty() { String::new() } else { format!("{length}{loss}") }
}

/// A stop with a box: name, what it is, how far and how lossy; below it the ends and flags.
fn draw_box(document: &Document<'_>, svg: &mut Svg, stop: &Stop, corner: (f64, f64)) {
    let (x, y) = corner;
    let class = if stop.kind == Kind::Port { "box port" } else { "box" };
    svg.rect(class, (x, y + 12.0), (BOX, HEAD), 6.0);
    svg.text("t-name", (x + 9.0, y + 30.0), &short(&stop.name, 19));
    svg.text("t", (x + 9.0, y + 45.0), &short(&stop.note, 26));
    svg.text("t faint", (x + 9.0, y + 60.0), &figures(document, stop));
    let mut below = y + 12.0 + HEAD + 15.0;
    if let Some(ends) = &stop.ends {
        for text in ends_words(document, ends) {
            svg.text("t", (x + 9.0, below), &text);
            below += LINE;
        }
    }
    for flag in &stop.flags {
        for (index, words) in flag.iter().enumerate() {
            let mark = if index == 0 { "⚑ " } else { "" };
            svg.text("t flag", (x + 9.0, below), &format!("{mark}{}", short(words, 26)));
            below += LINE;
        }
    }
}

fn ends_words(document: &Document<'_>, ends: &Ends) -> [String; 2] {
    let drops = document.lengths.range_words(ends.drops.0, ends.drops.1);
    let many = match ends.count {
        1 => short(&ends.names[0], 18),
        count => format!("{count} ends"),
    };
    let mark = sign(ends.verdict);
    let room = ends.room.map_or_else(
        || "not known".to_string(),
        |room| Decibels::new(room).rounded_down().to_string().replace('-', "−"),
    );
    [format!("{many}, {drops}"), format!("{} {}: least room {room}", mark.mark, mark.word)]
}

/// A coupling: a dot on the line with its id below.
fn draw_coupling(document: &Document<'_>, svg: &mut Svg, stop: &Stop, column: (f64, f64), y: f64) {
    let (left, width) = column;
    let x = left + width / 2.0;
    svg.line("fiber", &[(left, y + AXIS), (left + width, y + AXIS)]);
    svg.circle("dot", (x, y + AXIS), 5.0);
    svg.text("t-mid", (x, y + AXIS + 20.0), &short(&stop.name, 17));
    let mut below = y + AXIS + 20.0;
    for text in [&stop.note, &figures(document, stop)].into_iter().filter(|text| !text.is_empty()) {
        below += LINE;
        svg.text("t-mid faint", (x, below), &short(text, 20));
    }
}
