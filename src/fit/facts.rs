//! What is known of two ends and the way between them: what every rule of belonging together judges.
//!
//! The same facts are gathered from a plan, from the command line and from the rows of an inventory,
//! so that one rule serves all three. What is not known is `None` and is never guessed.

use crate::plan::{Plug, Polarity, PortKind};
use crate::tables::{Card, FiberType, FormFactor, Optic, Row, Tables, TemperatureRange};
use crate::units::{GigabitsPerSecond, Kilometers, Watts};

/// One end: a port and the module in it.
#[derive(Debug, Clone)]
pub struct Side<'t> {
    /// What the port is called.
    pub name: &'t str,
    /// Equipment or ONT.
    pub kind: PortKind,
    /// The optic as written; empty where none is stated.
    pub written: &'t str,
    /// The optic, where its name is known.
    pub optic: Option<&'t Optic>,
    /// The card's type as written.
    pub card_written: Option<&'t str>,
    /// The card, where its type is known.
    pub card: Option<&'t Row<Card>>,
    /// What the cage takes: as stated, or as the card says.
    pub cage: Option<&'t Row<FormFactor>>,
    /// The form factor of the module.
    pub form: Option<&'t Row<FormFactor>>,
    /// The most electrical power that the module takes.
    pub power: Option<Watts>,
    /// The module's temperature range.
    pub temperature: Option<&'t Row<TemperatureRange>>,
    /// The kind of place it stands in.
    pub place: Option<&'t str>,
    /// The data rate that the port is set to.
    pub rate: Option<GigabitsPerSecond>,
    /// The error correction that the port is set to.
    pub fec: Option<&'t str>,
    /// The optical face of the module.
    pub face: Option<&'t Plug>,
    /// The lane of a broken-out parallel optic that this port is, from 1.
    pub lane: Option<u16>,
}

impl<'t> Side<'t> {
    /// A port of which nothing but its name is known.
    pub const fn named(name: &'t str, kind: PortKind) -> Self {
        Self {
            name,
            kind,
            written: "",
            optic: None,
            card_written: None,
            card: None,
            cage: None,
            form: None,
            power: None,
            temperature: None,
            place: None,
            rate: None,
            fec: None,
            face: None,
            lane: None,
        }
    }

    /// The name of the optic: the table's where it is known, else as written.
    pub fn optic_name(&self) -> &'t str {
        self.optic.map_or(self.written, |optic| &optic.name)
    }

    /// The rates that the port can be set to: the one it is set to, else those of its card; empty
    /// where neither is known.
    pub fn port_rates(&self) -> Vec<GigabitsPerSecond> {
        match (self.rate, self.card) {
            (Some(rate), _) => vec![rate],
            (None, Some(card)) => card.value.rates.clone(),
            (None, None) => Vec::new(),
        }
    }

    /// The rate of one lane of a broken-out optic, or of the whole optic; of a module that is not optical
    /// as its name says it.
    pub fn link_rate(&self, tables: &Tables) -> Option<GigabitsPerSecond> {
        let Some(optic) = self.optic else {
            let electrical = tables.says_electrical(self.written);
            return Some(self.written).filter(|_| electrical).and_then(rate_in_name);
        };
        let rate = optic.rate(tables)?;
        let shared = if self.lane.is_some() { f64::from(optic.lanes(tables)) } else { 1.0 };
        Some(GigabitsPerSecond::new(rate.value() / shared))
    }
}

/// The rate that the name of a physical layer begins with (IEEE 802.3): megabits before `BASE`, gigabits
/// before `G`.
fn rate_in_name(name: &str) -> Option<GigabitsPerSecond> {
    let name = name.trim();
    let end = name.find(|c: char| !c.is_ascii_digit() && c != '.')?;
    let (number, unit) = name.split_at(end);
    let number: f64 = number.parse().ok()?;
    match unit.chars().next()?.to_ascii_uppercase() {
        'G' => Some(GigabitsPerSecond::new(number)),
        'B' => Some(GigabitsPerSecond::new(number / 1000.0)),
        _ => None,
    }
}

/// The way between two ends, as far as it is known.
#[derive(Debug, Clone, Default)]
pub struct Way<'t> {
    /// Fiber length.
    pub length: Option<Kilometers>,
    /// The fiber types on the way, in order, neighbors unlike.
    pub fibers: Vec<&'t Row<FiberType>>,
    /// The fewest fibers that run side by side anywhere, where stated.
    pub strands: Option<u16>,
    /// Mode-conditioning cords on the way; `None` where nothing is known of the cords.
    pub conditioning_cords: Option<u16>,
    /// How the array cords and trunks run, in order; `None` for one of which it is not stated.
    pub arrays: Vec<Option<Polarity>>,
    /// Mated connectors on the way, where known.
    pub connections: Option<u32>,
    /// Whether a wdm element stands on the way; `None` where the way is not known.
    pub wdm: Option<bool>,
}

/// Two end faces that meet.
#[derive(Debug, Clone, PartialEq)]
pub struct Mating<'t> {
    /// Where: a point of the plan, a column of an inventory.
    pub at: String,
    /// What the first one belongs to.
    pub first_of: String,
    /// The first face.
    pub first: &'t Plug,
    /// What the second one belongs to.
    pub second_of: String,
    /// The second face.
    pub second: &'t Plug,
    /// Whether the two are plugs in an adapter whose own polish is known.
    pub through_adapter: bool,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// IEEE 802.3: 1000BASE-T is 1 Gbit/s, 2.5GBASE-T 2.5; a name without a number says nothing.
    #[test]
    fn a_name_says_its_rate() {
        let rate = |name| rate_in_name(name).map(GigabitsPerSecond::value);
        assert_eq!(rate("1000BASE-T"), Some(1.0));
        assert_eq!(rate("100BASE-TX"), Some(0.1));
        assert_eq!(rate("2.5GBASE-T"), Some(2.5));
        assert_eq!(rate("10G-DAC-3M"), Some(10.0));
        for name in ["RJ45", "DAC", "", "3", "40 m DAC"] {
            assert_eq!(rate(name), None, "{name}");
        }
    }
}
