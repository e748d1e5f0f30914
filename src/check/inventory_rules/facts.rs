//! What a rule about inventories is given, and what it gives back.

use std::borrow::Cow;

use crate::check::Rule;
use crate::inventory::{Column, Inventory, Oper, Profile, Row, Status, WrittenRow};
use crate::tables::{Family, Optic, Role, Tables};
use crate::units::{Decibels, Kilometers, Nanometers};

/// Limits that the user may set.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// How far a meter built into a module may be off, either way (SFF-8472: 3 dB).
    pub meter: Decibels,
    /// The day on which is judged, days from 2000-01-01; `None` = rules about age are not run.
    pub today: Option<i64>,
    /// Days after which a proof is old.
    pub proof_days: i64,
    /// Reserve that a path keeps.
    pub reserve: Decibels,
    /// How far a laser may lie under its like.
    pub under_siblings: Decibels,
}

impl Default for Limits {
    fn default() -> Self {
        Self {
            meter: Decibels::new(3.0),
            today: None,
            proof_days: 5 * 365,
            reserve: Decibels::ZERO,
            under_siblings: Decibels::new(2.0),
        }
    }
}

impl Limits {
    /// How far `count` independent meters may be off together: the root of the sum of squares.
    pub fn meters(&self, count: u32) -> Decibels {
        Decibels::new(self.meter.value() * f64::from(count).sqrt())
    }
}

/// What is usual among ports with the same optic.
#[derive(Debug, Clone, Copy, Default)]
pub struct Cohort {
    /// Median of the transmit levels, hundredths of dBm.
    pub tx: Option<i16>,
    /// Median of the bias, hundredths of mA.
    pub bias: Option<u16>,
    /// The least that fiber loses at the wavelength of the optic.
    pub least_per_km: Option<Decibels>,
}

/// What every rule may look at.
#[derive(Debug, Clone, Copy)]
pub struct Sight<'a> {
    /// The rows.
    pub inventory: &'a Inventory,
    /// Reference tables.
    pub tables: &'a Tables,
    /// Limits.
    pub limits: &'a Limits,
    /// What is usual, by profile.
    pub cohorts: &'a [Cohort],
}

/// One row with its words.
#[derive(Debug, Clone, Copy)]
pub struct At<'a> {
    /// The row.
    pub row: &'a Row,
    /// Its words.
    pub profile: &'a Profile,
    /// Everything else.
    pub sight: Sight<'a>,
}

impl<'a> At<'a> {
    /// A row among all.
    pub fn new(sight: Sight<'a>, row: &'a Row) -> Self {
        Self { row, profile: sight.inventory.profile(row), sight }
    }

    /// Whether the port is up.
    pub fn is_up(&self) -> bool {
        self.profile.oper == Oper::Up
    }

    /// Whether the row stands for a port that is meant to exist now.
    pub fn is_real(&self) -> bool {
        self.profile.status != Status::Planned && self.profile.status != Status::Retired
    }

    /// A word.
    pub fn word(&self, column: Column) -> &'a str {
        self.profile.word(column)
    }

    /// The wavelength that the optic sends at, or that the row states.
    pub fn sends_at(&self) -> Option<Nanometers> {
        let optic = self.profile.optic.as_ref().and_then(|optic| optic.transmit.first());
        self.profile.tx_nm.or_else(|| optic.map(|band| band.nominal))
    }

    /// Length of the path.
    pub fn length(&self) -> Option<Kilometers> {
        self.row.length()
    }
}

/// Two numbers that a rule keeps for its wording: mostly a value and its limit, in hundredths.
pub type Detail = (i32, i32);

/// What two optics allow the way from one to the other; `None` = not known.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Allowed {
    /// Greatest loss.
    pub max: Option<Decibels>,
    /// Least loss.
    pub min: Option<Decibels>,
    /// Least loss that keeps the receiver from harm.
    pub harmless: Option<Decibels>,
    /// Length up to which the interface or class is specified.
    pub reach: Option<Kilometers>,
    /// Length up to which the chromatic dispersion is allowed.
    pub dispersion: Option<Kilometers>,
}

/// How a rule looks at an inventory.
pub enum Judge {
    /// At each row.
    Row(fn(&At<'_>) -> Option<Detail>),
    /// At each row that has one of these marks ([`crate::inventory::flag`]).
    Marked(u32, fn(&At<'_>) -> Option<Detail>),
    /// At the words that rows share: whether they are wrong in themselves.
    Words(fn(&Profile) -> bool),
    /// At each receiver of a pair: its own row, then that of the transmitter.
    Receiver(fn(&At<'_>, &At<'_>) -> Option<Detail>),
    /// At each receiver of a pair, with what the two optics allow each other.
    Light(fn(&At<'_>, &At<'_>, &Allowed) -> Option<Detail>),
    /// At each pair once.
    Pair(fn(&At<'_>, &At<'_>) -> Option<Detail>),
    /// At all rows together; the audit finds the hits.
    Whole,
}

/// One rule about inventories.
pub struct Entry {
    /// The rule.
    pub rule: &'static Rule,
    /// Columns without which it cannot say anything.
    pub needs: &'static [Column],
    /// How it looks.
    pub judge: Judge,
    /// What it says of a hit: the message and what to do here.
    pub say: fn(&Said<'_>) -> (String, String),
}

/// A hit, as small as it can be kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Hit {
    /// The row; [`Row::NO_ID`] for the inventory as a whole.
    pub row: u32,
    /// Index in [`super::ENTRIES`], or beyond it a shared rule.
    pub rule: u16,
    /// The other row; [`Row::NO_ID`] = none.
    pub other: u32,
    /// What the rule keeps.
    pub detail: Detail,
}

/// A hit with what was written.
pub struct Said<'a> {
    /// What the rule kept.
    pub detail: Detail,
    /// The row.
    pub near: &'a WrittenRow,
    /// The other row; the same as `near` where there is none.
    pub far: &'a WrittenRow,
    /// The inventory.
    pub inventory: &'a Inventory,
    /// Reference tables.
    pub tables: &'a Tables,
    /// The plan's ports, where there is a plan.
    pub plan_ports: &'a [Planned],
}

/// A port of a plan, as far as it is worded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Planned {
    /// Its id.
    pub name: String,
    /// The optics that it may have, parted by ` or `.
    pub optics: String,
}

impl Said<'_> {
    /// The port of the plan whose number the rule kept first.
    pub fn plan_port(&self) -> &str {
        self.planned().map_or("?", |planned| &planned.name)
    }

    /// The optics that this port has in the plan.
    pub fn planned_optics(&self) -> &str {
        self.planned().map_or("?", |planned| &planned.optics)
    }

    fn planned(&self) -> Option<&Planned> {
        self.plan_ports.get(usize::try_from(self.detail.0).ok()?)
    }

    /// A cell of the row.
    pub fn cell(&self, column: Column) -> &str {
        self.near.cell(column)
    }

    /// A cell of the row as a message can hold it.
    pub fn shown(&self, column: Column) -> Cow<'_, str> {
        shortened(self.near.cell(column))
    }

    /// The row's port as a message can hold it.
    pub fn port(&self) -> String {
        shortened(&self.near.name()).into_owned()
    }

    /// The other row's port as a message can hold it.
    pub fn far_port(&self) -> String {
        shortened(&self.far.name()).into_owned()
    }

    /// The far end that the row names, as a message can hold it.
    pub fn far_end(&self) -> String {
        shortened(&self.near.far_name()).into_owned()
    }

    /// A cell of the row as it is quoted; `nothing` where it is empty.
    pub fn quoted(&self, column: Column) -> String {
        quoted(self.cell(column))
    }

    /// Those of the cells that are not empty, each with the name of its column.
    pub fn present(&self, columns: &[Column]) -> String {
        let present = columns.iter().filter(|column| !self.cell(**column).is_empty());
        let named = present.map(|column| format!("{} {}", column.name(), self.quoted(*column)));
        named.collect::<Vec<_>>().join(", ")
    }

    /// The optic of the row where it is an interface: a PON optic receives by its side, which the cell
    /// alone does not tell.
    pub fn interface(&self) -> Option<Optic> {
        let found = Optic::find(self.tables, self.cell(Column::Module), Role::Olt)?;
        matches!(found.family, Family::Interface(_)).then_some(found)
    }

    /// The first kept number as hundredths.
    pub fn first(&self) -> String {
        two(self.detail.0)
    }

    /// The second kept number as hundredths.
    pub fn second(&self) -> String {
        two(self.detail.1)
    }
}

/// A cell as it is quoted; `nothing` where it is empty.
pub fn quoted(cell: &str) -> String {
    if cell.is_empty() { "nothing".to_string() } else { format!("`{}`", shortened(cell)) }
}

/// A cell as a message can hold it: a megabyte in a cell is not to become a megabyte in every finding.
pub fn shortened(cell: &str) -> Cow<'_, str> {
    const SIGNS: usize = 60;
    match cell.char_indices().nth(SIGNS) {
        Some((end, _)) => Cow::Owned(format!("{}…", &cell[..end])),
        None => Cow::Borrowed(cell),
    }
}

/// Hundredths as a number with two decimals.
pub fn two(hundredths: i32) -> String {
    format!("{:.2}", f64::from(hundredths) / 100.0)
}

/// A value in hundredths, rounded.
pub fn hundredths(value: f64) -> i32 {
    (value * 100.0).round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_cells_are_cut_between_signs() {
        let long = "ä".repeat(61);
        assert_eq!(shortened(&long), format!("{}…", "ä".repeat(60)));
        assert_eq!(shortened(&long[2..]), long[2..]);
        assert_eq!((quoted("x"), quoted("")), ("`x`".to_string(), "nothing".to_string()));
    }
}
