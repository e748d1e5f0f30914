//! Patch panels and splice cases.

use super::fields::Fields;
use super::given::Owner;
use super::reader::{Device, Reader};
use crate::plan::{JointKind, Panel, SpliceCase};
use crate::read::schema::{PanelForm, SpliceCaseForm};

/// Couplings of one panel, splices of one case: more than any frame holds.
const POSITIONS: u32 = 1_000_000;

impl Reader<'_> {
    pub(super) fn read_panels(&mut self, top: &Fields<'_>) {
        for entry in self.devices_of(top, "panels") {
            let owner = Owner { kind: "panel", id: entry.name };
            let fields = self.open(entry.value, PanelForm::KEYS, owner, entry.origin);
            let positions = fields.and_then(|fields| self.positions(&fields));
            let (Some(fields), Some(positions)) = (fields, positions) else {
                self.broken(&entry, "panel");
                continue;
            };
            let place = self.stated_place(&fields);
            let joint = match fields.node("connector") {
                Some(node) => self.connector(node, owner),
                None => self.plan.port_joint,
            };
            let measured = self.measured(&fields, entry.origin);
            let index = |reader: &Self| Device::Panel(reader.plan.panels.len() as u32);
            self.each_device(entry.name, "panel", entry.origin, index, |reader, name| {
                let origin = entry.origin;
                let panel = Panel { name, place, positions, joint, measured, origin };
                reader.plan.panels.push(panel);
            });
        }
    }

    pub(super) fn read_splice_cases(&mut self, top: &Fields<'_>) {
        for entry in self.devices_of(top, "splice-cases") {
            let owner = Owner { kind: "splice case", id: entry.name };
            let fields = self.open(entry.value, SpliceCaseForm::KEYS, owner, entry.origin);
            let positions = fields.and_then(|fields| self.positions(&fields));
            let (Some(fields), Some(positions)) = (fields, positions) else {
                self.broken(&entry, "splice case");
                continue;
            };
            let place = self.stated_place(&fields);
            let given = self.given(&fields, "splice");
            let splice = given.and_then(|given| self.splice(&given));
            let splice = splice.unwrap_or_else(|| self.defaults.splice.clone());
            let joint = self.plan.joint_kind(JointKind::Splice(splice));
            let measured = self.measured(&fields, entry.origin);
            let index = |reader: &Self| Device::SpliceCase(reader.plan.splice_cases.len() as u32);
            self.each_device(entry.name, "splice case", entry.origin, index, |reader, name| {
                let origin = entry.origin;
                let case = SpliceCase { name, place, positions, joint, measured, origin };
                reader.plan.splice_cases.push(case);
            });
        }
    }

    fn positions(&mut self, fields: &Fields<'_>) -> Option<u32> {
        let given = self.required(fields, "positions", "48")?;
        self.count(&given, 1, POSITIONS)
    }
}
