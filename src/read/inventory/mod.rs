//! Port inventories as they come: CSV in any dress, workbooks, compressed, from standard input.
//!
//! Holds: the opening of inputs ([`open`]), the finding of delimiter and heads ([`header`]), the map
//! from heads to columns ([`layout`], [`map`]), the cutting into chunks of whole records
//! ([`chunks`]), the reading of records on all cores ([`load`]), and the reading again of single
//! rows for findings ([`again`]).
//! Must not know: rules, how results are worded.
//! Start reading at [`load::load`].

pub mod accepted;
pub mod again;
mod archive;
mod caches;
mod chunks;
mod fields;
mod figure;
mod header;
mod layout;
pub mod load;
mod map;
mod marks;
mod open;
mod parse;
pub mod policy;
mod record;
pub mod since;
mod workbook;

pub use header::{Meaning, Recognized};
pub use layout::{HeadUse, Layout};
pub use map::{ColumnMap, Stated};
pub use open::Opened;

use std::io;

use crate::check::Finding;

/// Stands between the name of a workbook and that of its sheet.
pub const SHEET: &str = ", sheet ";

/// Why an inventory could not be read.
#[derive(Debug)]
pub enum Trouble {
    /// The input is at fault.
    Input(Vec<Finding>),
    /// Reading, or writing a temporary file, failed.
    Io {
        /// What was being done.
        doing: String,
        /// What went wrong.
        error: io::Error,
    },
}

impl Trouble {
    /// Reading failed while something was being done.
    pub fn io(doing: impl Into<String>) -> impl FnOnce(io::Error) -> Self {
        let doing = doing.into();
        move |error| Self::Io { doing, error }
    }

    /// A temporary file could not be made, written or read; says where they stand.
    pub fn temporary(doing: &'static str) -> impl FnOnce(io::Error) -> Self {
        move |error| {
            let folder = std::env::temp_dir();
            let doing =
                format!("{doing} a temporary file in `{}` (TMPDIR says where)", folder.display());
            Self::Io { doing, error }
        }
    }
}

impl From<Finding> for Trouble {
    fn from(finding: Finding) -> Self {
        Self::Input(vec![finding])
    }
}
