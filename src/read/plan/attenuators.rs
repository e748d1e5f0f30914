//! Fixed attenuators.

use super::fields::Fields;
use super::given::Owner;
use super::reader::{Device, Reader};
use crate::plan::Attenuator;
use crate::read::schema::AttenuatorForm;
use crate::units::Decibels;

/// The tolerance where neither the plan nor the table states one (common practice for fixed
/// attenuators up to 5 dB).
const TOLERANCE: Decibels = Decibels::new(0.5);

impl Reader<'_> {
    pub(super) fn read_attenuators(&mut self, top: &Fields<'_>) {
        for entry in self.devices_of(top, "attenuators") {
            let owner = Owner { kind: "attenuator", id: entry.name };
            let Some(fields) = self.open(entry.value, AttenuatorForm::KEYS, owner, entry.origin) else {
                self.broken(&entry, "attenuator");
                continue;
            };
            // An attenuator has the same two points whatever its loss: it is read on.
            let loss = self.required(&fields, "loss", "5 dB").and_then(|g| self.quantity(&g));
            let loss = loss.unwrap_or_default();
            let tolerance = self.given(&fields, "tolerance").and_then(|g| self.quantity(&g));
            let tolerance = tolerance.unwrap_or_else(|| self.usual_tolerance(loss));
            let place = self.stated_place(&fields);
            let joint = self.stated_joint(&fields);
            let index = |reader: &Self| Device::Attenuator(reader.plan.attenuators.len() as u32);
            self.each_device(entry.name, "attenuator", entry.origin, index, |reader, name| {
                let origin = entry.origin;
                let attenuator = Attenuator { name, place, loss, tolerance, joint, origin };
                reader.plan.attenuators.push(attenuator);
            });
        }
    }

    fn usual_tolerance(&self, loss: Decibels) -> Decibels {
        let rows = self.tables.attenuators.rows();
        let row = rows.iter().find(|row| row.value.value == loss);
        row.map_or(TOLERANCE, |row| row.value.tolerance)
    }
}
