//! The written forms of the answer to "does this optic belong here?".
//!
//! [`FitReport`] is the answer for one port, [`FitList`] those for all ports of a plan; `table`,
//! `json` and `csv` are their faces. The verdict stands first, the cautions last.

mod csv;
mod ends;
mod json;
mod list;
mod table;
mod words;

pub use csv::write as write_csv;
pub use json::write as write_json;
pub use list::{
    FitList, write_csv as write_list_csv, write_json as write_list_json, write_table as write_list,
};
pub use table::write as write_table;

use crate::check::view::View;
use crate::engine::alternatives::Alternatives;
use crate::engine::fit::Answer;
use crate::engine::pads::PadAdvice;
use crate::engine::rests::Rests;
use crate::place::Files;

/// The answer for one port and what goes with it.
pub struct FitReport<'a> {
    /// The judged plan.
    pub view: View<'a>,
    /// The answer.
    pub answer: &'a Answer,
    /// Pads, where a receiver may get too much.
    pub pads: &'a [PadAdvice],
    /// What else would do, best first.
    pub alternatives: &'a Alternatives,
    /// How many alternatives a table shows at most.
    pub most_alternatives: usize,
    /// What was assumed of the port, in words.
    pub assumed: &'a [String],
    /// Names of the files, for places.
    pub files: &'a Files,
    /// Columns the terminal has.
    pub width: usize,
}

impl FitReport<'_> {
    /// The cells of tables that the answer rests on.
    fn rests(&self) -> Rests {
        Rests::of_port(self.view, self.answer)
    }
}
