//! Shelves, slots, cards and ports.

use super::fields::{Fields, Named};
use super::given::{At, Given, Owner, clip};
use super::reader::{Device, Reader, check_id};
use crate::check::plan_rules::bad_id;
use crate::plan::{Port, PortKind, Shelf, Slot, SlotContent};
use crate::read::schema::{CardForm, PortForm, ShelfForm};
use crate::read::yaml::{Node, Value};

/// The shelf that ports are read for.
#[derive(Clone, Copy)]
struct Within<'n> {
    /// What the ports' names begin with: `olt-1/1`.
    prefix: &'n str,
    place: Option<u32>,
}

impl Reader<'_> {
    pub(super) fn read_shelves(&mut self, top: &Fields<'_>) {
        for entry in self.devices_of(top, "shelves") {
            let owner = Owner { kind: "shelf", id: entry.name };
            let Some(fields) = self.open(entry.value, ShelfForm::KEYS, owner, entry.origin) else {
                self.broken(&entry, "shelf");
                continue;
            };
            let place = self.stated_place(&fields);
            let index = |reader: &Self| Device::Shelf(reader.plan.shelves.len() as u32);
            self.each_device(entry.name, "shelf", entry.origin, index, |reader, name| {
                let origin = entry.origin;
                reader.plan.shelves.push(Shelf { name, place, slots: Vec::new(), origin });
                let before = reader.findings.total();
                reader.shelf_content(&fields, place);
                if reader.findings.total() > before {
                    // A port that is missed later may be one that could not be read.
                    reader.devices[name.0 as usize] = reader.broken_at(origin);
                }
            });
        }
    }

    /// The entries of a section of devices; a section that is no map makes every point unsure.
    pub(super) fn devices_of<'n>(&mut self, top: &Fields<'n>, section: &'static str) -> Vec<Named<'n>> {
        let Some(node) = top.node(section) else { return Vec::new() };
        if !matches!(node.value, Value::Map(_) | Value::Empty) {
            self.devices_unsure = true;
        }
        self.named(node, &format!("`{section}`"))
    }

    /// Gives the id of an entry that cannot be read to a broken device, so that its points are not
    /// reported as well.
    pub(super) fn broken(&mut self, entry: &Named<'_>, kind: &'static str) {
        let broken = self.broken_at(entry.origin);
        let device = |_: &Self| broken;
        self.each_device(entry.name, kind, entry.origin, device, |_, _| ());
    }

    /// Slots and ports of the shelf that was added last.
    fn shelf_content(&mut self, fields: &Fields<'_>, place: Option<u32>) {
        let Some(shelf) = self.plan.shelves.last() else { return };
        let name = self.plan.names.get(shelf.name).to_string();
        if let Some(node) = fields.node("ports") {
            self.ports(node, Within { prefix: &name, place });
        }
        let Some(node) = fields.node("slots") else { return };
        for slot in self.named(node, &format!("the slots of shelf `{name}`")) {
            self.each_name(slot.name, At::Known(slot.origin), |reader, number| {
                if reader.part(number, "slot", &slot) {
                    reader.slot(number, &slot, Within { prefix: &name, place });
                }
            });
        }
    }

    fn slot(&mut self, number: &str, slot: &Named<'_>, within: Within<'_>) {
        let content = match slot.value.text() {
            Some("blank") => SlotContent::Blank,
            _ => SlotContent::Card(self.card(number, slot, within)),
        };
        if let Some(shelf) = self.plan.shelves.last_mut() {
            shelf.slots.push(Slot { number: number.to_string(), content });
        }
    }

    /// The card in a slot and its ports; gives its type.
    fn card(&mut self, number: &str, slot: &Named<'_>, within: Within<'_>) -> String {
        let name = format!("{}/{number}", within.prefix);
        let owner = Owner { kind: "slot", id: &name };
        if slot.value.text().is_some() {
            let what = format!("slot `{name}`");
            self.wrong_type(slot.value, &name, &what, "`blank` or a map with `card` and `ports`");
            return String::new();
        }
        let Some(fields) = self.open(slot.value, CardForm::KEYS, owner, slot.origin) else {
            return String::new();
        };
        if let Some(node) = fields.node("ports") {
            self.ports(node, Within { prefix: &name, ..within });
        }
        self.given(&fields, "card").map(|given| given.text.to_string()).unwrap_or_default()
    }

    fn ports(&mut self, node: &Node<'_>, within: Within<'_>) {
        for entry in self.named(node, &format!("the ports of `{}`", within.prefix)) {
            self.each_name(entry.name, At::Known(entry.origin), |reader, number| {
                if reader.part(number, "port", &entry) {
                    reader.port(number, &entry, within);
                }
            });
        }
    }

    fn port(&mut self, number: &str, entry: &Named<'_>, within: Within<'_>) {
        let name = format!("{}/{number}", within.prefix);
        let owner = Owner { kind: "port", id: &name };
        let fields = self.open(entry.value, PortForm::KEYS, owner, entry.origin);
        let (optics, cage) = fields.map_or((None, None), |fields| self.optics_and_cage(&fields));
        let at = At::Known(entry.origin);
        let port = Device::Port(self.plan.ports.len() as u32);
        let Some(id) = self.register_unchecked(&name, "port", at, port) else { return };
        let place = within.place;
        let kind = PortKind::Equipment;
        let origin = entry.origin;
        self.plan.ports.push(Port { name: id, kind, place, cage, optics, origin });
    }

    /// The optics and the cage of a port or an ONT. An optic that no table knows is kept: the
    /// engine answers `unknown` for its ends.
    pub(super) fn optics_and_cage(&mut self, fields: &Fields<'_>) -> (Option<u32>, Option<Box<str>>) {
        let optics = self.one_or_many(fields, "optic");
        let optics: Vec<&str> = optics.iter().map(|given| given.text.trim()).collect();
        let cage = self.given(fields, "cage");
        (self.optic_set(&optics), cage.map(|given: Given<'_>| given.text.trim().into()))
    }

    /// The index of a list of optics; nothing for an empty list.
    pub(super) fn optic_set(&mut self, optics: &[&str]) -> Option<u32> {
        let optics: Vec<&str> = optics.iter().copied().filter(|optic| !optic.is_empty()).collect();
        if optics.is_empty() {
            return None;
        }
        // The names could hold any character but a line end.
        let key = optics.join("\n");
        if let Some(known) = self.optic_sets.get(&key) {
            return Some(*known);
        }
        let set = self.plan.optic_sets.len() as u32;
        self.plan.optic_sets.push(optics.into_iter().map(String::from).collect());
        self.optic_sets.insert(key, set);
        Some(set)
    }

    /// Whether a slot's or port's number can be part of a name.
    fn part(&mut self, number: &str, kind: &'static str, entry: &Named<'_>) -> bool {
        let Err(reason) = check_id(number) else { return true };
        let message = format!("the number of {} {reason}", Owner { kind, id: number });
        self.findings.push(bad_id::RULE.hit(entry.origin, clip(number), message));
        false
    }
}
