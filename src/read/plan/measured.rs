//! Measured losses: `0.21 dB`, or one for each wavelength: `{1310: 2.61 dB, 1550: 1.52 dB}`.

use super::fields::Fields;
use super::given::{Given, Owner};
use super::reader::Reader;
use crate::check::plan_rules::duplicate_key;
use crate::place::Origin;
use crate::plan::{Measured, Stated};
use crate::read::limits;
use crate::read::yaml::{Node, Value};
use crate::units::{Decibels, Nanometers, Quantity};

/// A loss at a wavelength, or at any.
pub(super) type Reading = (Option<Nanometers>, Decibels);

impl Reader<'_> {
    /// The index of the measured loss of an entry, with the entry's own uncertainty.
    pub(super) fn measured(&mut self, fields: &Fields<'_>, origin: Origin) -> Option<u32> {
        let uncertainty = self.given(fields, "uncertainty").and_then(|g| self.quantity(&g));
        let node = fields.node("measured")?;
        let readings = self.readings(node, fields.owner);
        self.add_measured(&readings, uncertainty, origin)
    }

    /// Adds a measured loss to the plan.
    pub(super) fn add_measured(
        &mut self,
        readings: &[Reading],
        uncertainty: Option<Decibels>,
        origin: Origin,
    ) -> Option<u32> {
        if readings.is_empty() {
            return None;
        }
        let uncertainty = uncertainty.unwrap_or(self.defaults.uncertainty);
        let values = readings.iter().map(|(at, loss)| Stated { at: *at, loss: *loss, uncertainty });
        let measured = Measured { values: values.collect(), origin };
        self.plan.measured.push(measured);
        Some(self.plan.measured.len() as u32 - 1)
    }

    /// The readings of a value in YAML.
    pub(super) fn readings(&mut self, node: &Node<'_>, owner: Owner<'_>) -> Vec<Reading> {
        let Value::Map(_) = &node.value else {
            let given = self.scalar(node, "measured", owner);
            return given.map_or_else(Vec::new, |given| self.readings_in_text(&given));
        };
        let mut list = Vec::new();
        for entry in self.named(node, &format!("`measured` of {owner}")) {
            let key = self.scalar(entry.value, entry.name, owner);
            let at = super::given::At::Known(entry.origin);
            let wavelength = Given { text: entry.name, key: "measured", owner, at };
            let at = self.wavelength(&wavelength);
            let loss = key.and_then(|given| self.quantity(&given));
            if let (Some(at), Some(loss)) = (at, loss) {
                self.add_reading(&mut list, (Some(at), loss), &wavelength);
            }
        }
        list
    }

    /// The readings of a value in one text: `2.61 dB`, or `1310: 2.61 dB; 1550: 1.52 dB`.
    pub(super) fn readings_in_text(&mut self, given: &Given<'_>) -> Vec<Reading> {
        let mut list = Vec::new();
        for part in given.text.split(';').filter(|part| !part.trim().is_empty()) {
            let (at, loss) = match part.split_once(':') {
                Some((at, loss)) => (Some(at), loss),
                None => (None, part),
            };
            let at = at.map(|text| self.wavelength(&Given { text, ..*given }));
            let loss = self.quantity(&Given { text: loss, ..*given });
            match (at, loss) {
                (None, Some(loss)) => self.add_reading(&mut list, (None, loss), given),
                (Some(Some(at)), Some(loss)) => {
                    self.add_reading(&mut list, (Some(at), loss), given);
                }
                _ => {}
            }
        }
        list
    }

    fn add_reading(&mut self, list: &mut Vec<Reading>, reading: Reading, given: &Given<'_>) {
        let origin = given.at.origin();
        if list.len() >= limits::WAVELENGTHS {
            self.too_many("wavelengths for one loss", limits::WAVELENGTHS, origin);
        } else if list.iter().all(|(at, _)| *at != reading.0) {
            list.push(reading);
        } else {
            self.tell(&duplicate_key::RULE, origin, |_| {
                let at = reading.0.map_or("any wavelength".to_string(), |at| at.to_string());
                let message = format!("two losses of {} are stated for {at}", given.owner);
                duplicate_key::RULE.hit(origin, given.owner.id, message)
            });
        }
    }

    /// A wavelength; a bare number is one in nanometers.
    fn wavelength(&mut self, given: &Given<'_>) -> Option<Nanometers> {
        let text = given.text.trim();
        let bare = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        if bare && let Ok(wavelength) = Nanometers::parse(&format!("{text} nm")) {
            return Some(wavelength);
        }
        self.quantity(given)
    }
}
