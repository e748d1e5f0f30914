//! What is handed on: the one value behind every page and sheet, so that they cannot contradict each
//! other.
//!
//! [`Document`] is the judged plan with its identity (title, revision, date, hash) and the units it is
//! printed in. `groups` are the PONs and links in the order of reading, `actions` the findings by what
//! to do, `histogram` the margins, `legend` the words and signs of verdicts, `unchecked` what nobody
//! should take for checked.

mod actions;
mod groups;
mod histogram;
mod identity;
mod legend;
mod lengths;
mod unchecked;

pub use actions::{Action, ActionClass, actions, the_one_thing};
pub use groups::{GroupLine, group_lines};
pub use histogram::{Bin, Histogram, histogram};
pub use identity::Identity;
pub use legend::{Sign, sign, signs};
pub use lengths::Lengths;
pub use unchecked::unchecked;

use crate::budget::Hazard;
use crate::check::Finding;
use crate::check::view::View;
use crate::place::Files;

/// A judged plan as pages and sheets show it.
pub struct Document<'a> {
    /// The plan, its graph, the tables, the judgement.
    pub view: View<'a>,
    /// Findings, sorted.
    pub findings: &'a [Finding],
    /// Names of the files, for places.
    pub files: &'a Files,
    /// The brightest open connectors.
    pub hazards: &'a [Hazard],
    /// Title, revision, date, hash.
    pub identity: Identity,
    /// Feet or meters.
    pub lengths: Lengths,
}
