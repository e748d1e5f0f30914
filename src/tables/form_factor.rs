//! Form factors of pluggable optics: what a module's body is, and what a cage is named by.

use super::{Row, Tables};
use crate::units::GigabitsPerSecond;

/// One form factor. A figure that is not known is `None`.
#[derive(Debug, Clone, PartialEq)]
pub struct FormFactor {
    /// Form factors that share a body belong to one family (`SFP`, `QSFP`, `OSFP`, …); empty = not
    /// known.
    pub family: String,
    /// What a module states in its first byte (SFF-8024); several or none. One code may stand for
    /// several form factors: 03h is SFP, SFP+ and SFP28.
    pub identifiers: Vec<u8>,
    /// Electrical lanes towards the host.
    pub host_lanes: u16,
    /// Greatest nominal data rate of one host lane, by the Ethernet of the form factor (SFP: fiber
    /// channel's 4.25).
    pub lane_rate: Option<GigabitsPerSecond>,
    /// Least nominal data rate that modules of this form carry.
    pub least_rate: Option<GigabitsPerSecond>,
    /// Greatest nominal data rate that modules of this form carry, fiber channel and transport
    /// rates included.
    pub most_rate: Option<GigabitsPerSecond>,
    /// Whether it is plugged into a cage; `false` for what is soldered to a board.
    pub pluggable: bool,
    /// Usual optical connectors: `LC`, `SC`, `MPO-12`, `MPO-16`, …
    pub connectors: Vec<String>,
}

impl FormFactor {
    /// Whether modules of this form carry a data rate; `None` where the range is not known.
    pub fn carries(&self, rate: GigabitsPerSecond) -> Option<bool> {
        Some(self.least_rate? <= rate && rate <= self.most_rate?)
    }
}

impl Tables {
    /// The form factors whose modules state an identifier of SFF-8024 in their first byte.
    pub fn forms_with_identifier(&self, identifier: u8) -> impl Iterator<Item = &Row<FormFactor>> {
        let states = move |row: &&Row<FormFactor>| row.value.identifiers.contains(&identifier);
        self.form_factors.rows().iter().filter(states)
    }
}
