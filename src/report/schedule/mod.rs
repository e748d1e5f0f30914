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

pub use cards::Cards;
pub use csv::write as write_csv;
pub use sheet::{Cell, Column, Sheet};
pub use xlsx::Book;

use crate::report::document::Document;
use crate::units::{Kilometers, Percent};
use levels::Readings;
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

/// All sheets but `about`, in the order of the workbook.
const SHEETS: [fn(&Work<'_>, &Readings) -> Sheet; 9] = [
    |work, _| sheets::ports::sheet(work),
    |work, _| sheets::fibers::sheet(work),
    |work, _| sheets::splices::sheet(work),
    |work, _| sheets::patches::sheet(work),
    sheets::light::sheet,
    |work, _| sheets::labels::sheet(work),
    |work, _| sheets::materials::sheet(work),
    |work, _| sheets::capacity::sheet(work),
    sheets::ends::sheet,
];

/// Name of the sheet that says what the others rest on. It is the first of the workbook and the last to
/// be made: it names the others.
pub(crate) const ABOUT: &str = "about";

/// The sheets of a plan.
pub struct Schedule<'d> {
    work: Work<'d>,
    readings: Readings,
}

impl<'d> Schedule<'d> {
    /// Gathers what the sheets draw on.
    pub fn new(document: &'d Document<'d>, options: &'d Options) -> Self {
        let work = Work::new(document, options);
        Self { readings: Readings::of(&work), work }
    }

    /// The sheets, each made when it is asked for: those of a large plan are more than need to be held at
    /// once. `about` is the last.
    pub fn sheets(&self) -> impl Iterator<Item = Sheet> + '_ {
        let mut made: Vec<(&'static str, &'static str)> = Vec::with_capacity(SHEETS.len() + 1);
        std::iter::from_fn(move || {
            let sheet = match SHEETS.get(made.len()) {
                Some(make) => make(&self.work, &self.readings),
                None if made.len() == SHEETS.len() => {
                    sheets::about::sheet(&self.work, &self.readings, &made)
                }
                None => return None,
            };
            made.push((sheet.name, sheet.title));
            Some(sheet)
        })
    }
}
