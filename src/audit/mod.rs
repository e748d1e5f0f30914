//! The batch over an inventory: rows in, findings and tallies out.
//!
//! Holds: the pairing of ends ([`join`], [`claims`], `doubles`), names restored from what the far end
//! says ([`restore`]), the look at every row and pair (`rows`), identifiers that stand twice ([`same`],
//! `identifiers`), what ports of one optic, card or shelf say together (`cohorts`, `cards`, `uplinks`),
//! the smallest set of changes that would make the claims agree ([`edits`]), the rules shared with plans
//! ([`shared`]), the comparison with a plan ([`against`]), and the order of the steps ([`run`]). `spread`
//! is the tool for what has to be found among all rows.
//! Must not know: files, how results are worded. Rows as they were written are asked for through
//! [`Texts`].
//! Start reading at [`run::run`].

pub mod against;
mod cards;
pub mod claims;
mod cohorts;
mod doubles;
pub mod edits;
mod identifiers;
pub mod join;
pub mod restore;
mod rows;
pub mod run;
pub mod same;
pub mod shared;
mod silent;
mod spread;
pub mod suggest;
mod uplinks;
pub mod wording;

pub use edits::Edit;
pub use run::{Audit, Choice};

use crate::inventory::{Column, WrittenRow};

/// Rows as they were written.
pub trait Texts: Sync {
    /// Why a row could not be had.
    type Trouble: Send;

    /// The same rows for another thread.
    #[must_use]
    fn another(&self) -> Self;

    /// One cell of a row.
    ///
    /// # Errors
    /// The row cannot be read again.
    fn cell(&mut self, row: u32, column: Column) -> Result<String, Self::Trouble>;

    /// A row; its line is counted when `numbered`.
    ///
    /// # Errors
    /// The row cannot be read again.
    fn written(&mut self, row: u32, numbered: bool) -> Result<WrittenRow, Self::Trouble>;
}
