//! Shelves, slots, cards and ports.

use super::fields::{Fields, Named};
use super::given::{At, Owner, clip};
use super::reader::{Device, Reader, check_id};
use super::span_traits::YES_OR_NO;
use crate::check::plan_rules::bad_id;
use crate::plan::{Fitting, Port, PortKind, Shelf, Slot, SlotContent};
use crate::read::schema::{CardForm, PortForm, ShelfForm};
use crate::read::yaml::{Node, Value};

/// The shelf or card that ports are read for.
#[derive(Clone, Copy)]
struct Within<'n> {
    /// What the ports' names begin with: `olt-1/1`.
    prefix: &'n str,
    place: Option<u32>,
    /// The type of the card; empty without one.
    card: &'n str,
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
            self.ports(node, Within { prefix: &name, place, card: "" });
        }
        let Some(node) = fields.node("slots") else { return };
        for slot in self.named(node, &format!("the slots of shelf `{name}`")) {
            self.each_name(slot.name, At::Known(slot.origin), |reader, number| {
                if reader.part(number, "slot", &slot) {
                    reader.slot(number, &slot, Within { prefix: &name, place, card: "" });
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
        let card = self.given(&fields, "card").map_or("", |given| given.text.trim());
        if let Some(node) = fields.node("ports") {
            self.ports(node, Within { prefix: &name, card, ..within });
        }
        card.to_string()
    }

    fn ports(&mut self, node: &Node<'_>, within: Within<'_>) {
        for entry in self.named(node, &format!("the ports of `{}`", within.prefix)) {
            self.each_name(entry.name, At::Known(entry.origin), |reader, number| {
                if reader.part(number, "port", &entry) {
                    reader.port(number, &entry, within);
                }
            });
            self.protection_of(&entry, &format!("{}/{}", within.prefix, entry.name));
        }
    }

    /// What a port, or a range of them, says of the ports it stands by for.
    fn protection_of(&mut self, entry: &Named<'_>, name: &str) {
        let Value::Map(keys) = &entry.value.value else { return };
        let stated = keys.iter().find(|(key, _)| key.text() == Some("protects"));
        let owner = Owner { kind: "port", id: name };
        let given = stated.and_then(|(_, node)| self.scalar(node, "protects", owner));
        if let Some(given) = given {
            let (working, origin) = (given.text.trim().to_string(), given.at.origin());
            self.note_protection(name.to_string(), working, origin);
        }
    }

    fn port(&mut self, number: &str, entry: &Named<'_>, within: Within<'_>) {
        let name = format!("{}/{number}", within.prefix);
        let owner = Owner { kind: "port", id: &name };
        let fields = self.open(entry.value, PortForm::KEYS, owner, entry.origin);
        let card = Some(within.card).filter(|card| !card.is_empty()).map(String::from);
        let usual = Fitting { card, ..Fitting::default() };
        let (optics, fitting) = match fields {
            Some(fields) => self.fitted(&fields, &usual),
            None => (None, self.plan.fitting(usual)),
        };
        let stated = fields.and_then(|fields| self.given(&fields, "connected"));
        let connected = stated.and_then(|given| self.word(&given, &YES_OR_NO)).unwrap_or(true);
        let at = At::Known(entry.origin);
        let port = Device::Port(self.plan.ports.len() as u32);
        let Some(id) = self.register_unchecked(&name, "port", at, port) else { return };
        let place = within.place;
        let kind = PortKind::Equipment;
        let origin = entry.origin;
        self.plan.ports.push(Port { name: id, kind, place, fitting, optics, connected, origin });
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
