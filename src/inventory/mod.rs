//! What a port inventory *is*: columns, rows, names and written values, without files.
//!
//! Holds: the columns that are understood ([`Column`]), one port as a row of 80 bytes ([`Row`]), the
//! words that rows share ([`Profile`]), normal forms of names ([`name`]), far ends in
//! one cell ([`far_end`]), written numbers ([`number`]), identifiers that a spreadsheet damaged ([`damage`]), and the whole ([`Inventory`]).
//! Must not know: files, delimiters, rules, how results are worded.
//! Start reading at [`Row`] and [`Profile`].

pub mod blank;
mod column;
pub mod damage;
pub mod date;
mod doubt;
pub mod far_end;
pub mod measure;
pub mod name;
pub mod note;
pub mod number;
pub mod print;
mod profile;
mod row;
mod split;
mod state;
mod store;
mod turn;
mod words;

pub use column::{COLUMNS, Column, ColumnKind, ColumnSet};
pub use measure::Measure;
pub use profile::Profile;
pub use row::{Row, flag};
pub use state::{Oper, SiteClass, Status};
pub use store::{Candidates, Card, Cards, Inventory, Segments, Site};
pub use turn::{Turn, TurnCell, TurnExample, Turns};
pub use words::WrittenRow;
