//! The sheets crews work from: one workbook, the same sheets as CSV, cards to print.
//!
//! `work` gathers once what all sheets draw on (who uses which span, what is attached where, the colors
//! of strands); `levels` the light at every point, alone and together; `sheets/` holds one file per sheet; `sheet` is a sheet free of any format; `xlsx`, `csv`
//! and `cards` are its faces.

mod cards;
mod csv;
mod levels;
mod sheet;
mod sheets;
mod work;
mod xlsx;

use std::collections::BTreeMap;

pub use cards::{write_closure_cards, write_light_cards};
pub use csv::write as write_csv;
pub use sheet::{Cell, Column, Sheet};
pub use xlsx::write as write_xlsx;

use crate::report::document::Document;
use crate::units::{Kilometers, Percent};
use work::Work;

/// What the sheets are given beside the plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Options {
    /// Row of the table of cable templates that holds for cables not named below.
    pub template: String,
    /// Rows of the table of cable templates by cable.
    pub templates: BTreeMap<String, String>,
    /// Cable on one reel, for the order.
    pub reel: Kilometers,
    /// What is ordered beyond the net length.
    pub waste: Percent,
}

/// All sheets of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedule {
    /// The sheets in the order of the workbook; the first says what the others rest on.
    pub sheets: Vec<Sheet>,
}

impl Schedule {
    /// What the first sheet says under a head.
    fn words_of(&self, head: &str) -> Option<String> {
        let about = self.sheets.first()?;
        let row = about.rows.iter().find(|row| row.first().is_some_and(|cell| cell.shown() == head))?;
        row.get(1).map(Cell::shown)
    }
}

/// Makes the sheets.
pub fn schedule(document: &Document<'_>, options: &Options) -> Schedule {
    let work = Work::new(document, options);
    let readings = levels::Readings::of(&work);
    let mut made = vec![
        sheets::ports::sheet(&work),
        sheets::fibers::sheet(&work),
        sheets::splices::sheet(&work),
        sheets::patches::sheet(&work),
        sheets::light::sheet(&work, &readings),
        sheets::labels::sheet(&work),
        sheets::materials::sheet(&work),
        sheets::capacity::sheet(&work),
        sheets::ends::sheet(&work, &readings),
    ];
    made.insert(0, sheets::about::sheet(&work, &readings, &made));
    Schedule { sheets: made }
}
