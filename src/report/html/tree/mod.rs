//! The straight-line diagram of a PON or link: office at the left, every stop with its id, what hangs
//! on it, how far and how lossy it is.
//!
//! `stops` gathers the points of a profile by device, `layout` puts the stops on a grid, `draw` makes
//! the SVG.

mod draw;
mod layout;
mod stops;

use crate::budget::Profile;
use crate::report::document::{Document, GroupLine};

/// Draws a group, or says why it is not drawn.
pub(super) fn draw(document: &Document<'_>, line: &GroupLine<'_>, profile: &Profile) -> String {
    let stops = stops::gather(document, line, profile);
    match layout::place(&stops) {
        Some(grid) => draw::svg(document, line, &stops, &grid),
        None => format!(
            "<p class=\"hint\">{} stops are too many for one drawing; the table of ends has them all.</p>",
            stops.len()
        ),
    }
}
