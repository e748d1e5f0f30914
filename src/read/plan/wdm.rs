//! Wdm elements.

use super::fields::Fields;
use super::given::{Given, Owner, suggest, unknown};
use super::reader::{Device, Reader};
use crate::plan::WdmElement;
use crate::read::schema::WdmElementForm;

impl Reader<'_> {
    pub(super) fn read_wdm_elements(&mut self, top: &Fields<'_>) {
        for entry in self.devices_of(top, "wdm-elements") {
            let owner = Owner { kind: "wdm element", id: entry.name };
            let fields = self.open(entry.value, WdmElementForm::KEYS, owner, entry.origin);
            let given = fields.and_then(|fields| self.required(&fields, "type", "CE-GPON-XGS"));
            let kind = given.and_then(|given| self.wdm_kind(&given));
            let place = fields.and_then(|fields| self.stated_place(&fields));
            let joint = fields.map(|fields| self.stated_joint(&fields));
            let (Some((kind, legs)), Some(joint)) = (kind, joint) else {
                self.broken(&entry, "wdm element");
                continue;
            };
            let index = |reader: &Self| Device::WdmElement(reader.plan.wdm_elements.len() as u32);
            self.each_device(entry.name, "wdm element", entry.origin, index, |reader, name| {
                let (kind, legs, origin) = (kind.clone(), legs.clone(), entry.origin);
                let element = WdmElement { name, place, kind, legs, joint, origin };
                reader.plan.wdm_elements.push(element);
            });
        }
    }

    /// The element's name in the table and its legs, in the table's order.
    fn wdm_kind(&mut self, given: &Given<'_>) -> Option<(Box<str>, Vec<String>)> {
        let wanted = given.text.trim();
        let rows = self.tables.wdm_elements.rows();
        let mut kind = "";
        let mut legs: Vec<String> = Vec::new();
        for leg in rows.iter().map(|row| &row.value) {
            if leg.element.eq_ignore_ascii_case(wanted) {
                kind = &leg.element;
                if !legs.contains(&leg.leg) {
                    legs.push(leg.leg.clone());
                }
            }
        }
        if legs.is_empty() {
            let names = rows.iter().map(|row| row.value.element.as_str());
            let finding = unknown(given, "wdm element", self.tables.wdm_elements.name);
            self.findings.push(suggest(finding, wanted, names));
            return None;
        }
        Some((kind.into(), legs))
    }
}
