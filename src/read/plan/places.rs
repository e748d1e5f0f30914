//! Places.

use super::fields::{Fields, Named};
use super::given::{At, Given, Owner, clip};
use super::reader::{Device, Reader, check_id};
use crate::check::plan_rules::{bad_id, bad_quantity, duplicate_id};
use crate::plan::Place;
use crate::read::limits;
use crate::read::schema::PlaceForm;
use crate::read::yaml::{Node, Value};

impl Reader<'_> {
    pub(super) fn read_places(&mut self, top: &Fields<'_>) {
        let Some(node) = top.node("places") else { return };
        self.places_unsure = !matches!(node.value, Value::Map(_) | Value::Empty);
        for entry in self.named(node, "`places`") {
            self.place_entry(&entry);
        }
    }

    fn place_entry(&mut self, entry: &Named<'_>) {
        let owner = Owner { kind: "place", id: entry.name };
        let fields = self.open(entry.value, PlaceForm::KEYS, owner, entry.origin);
        let kind = fields.and_then(|f| self.given(&f, "kind")).map_or("", |given| given.text);
        let at = fields.and_then(|f| f.node("at")).and_then(|node| self.coordinates(node, owner));
        self.each_name(entry.name, At::Known(entry.origin), |reader, name| {
            reader.add_place(name, kind, at, entry);
        });
    }

    /// Places share the list of names with devices, but not their ids: a closure may be called like
    /// the place it hangs in.
    fn add_place(&mut self, name: &str, kind: &str, at: Option<(f64, f64)>, entry: &Named<'_>) {
        if let Err(reason) = check_id(name) {
            let message = format!("the id of {} {reason}", Owner { kind: "place", id: name });
            self.findings.push(bad_id::RULE.hit(entry.origin, clip(name), message));
            return;
        }
        if self.plan.names.len() >= limits::NAMES {
            self.too_many("ids", limits::NAMES, entry.origin);
            return;
        }
        let id = self.plan.names.intern(name);
        if self.devices.len() < self.plan.names.len() {
            self.devices.resize(self.plan.names.len(), Device::None);
        }
        let index = self.plan.places.len() as u32;
        if let Some(first) = self.places.get(&id) {
            let first = self.plan.places[*first as usize].origin;
            let first = self.sources.files().describe(first);
            let message = format!("the id `{name}` of this place is that of the place at {first}");
            self.findings.push(duplicate_id::RULE.hit(entry.origin, name, message));
            return;
        }
        self.places.insert(id, index);
        let place = Place { name: id, kind: kind.to_string(), at, origin: entry.origin };
        self.plan.places.push(place);
    }

    /// Latitude and longitude.
    fn coordinates(&mut self, node: &Node<'_>, owner: Owner<'_>) -> Option<(f64, f64)> {
        match &node.value {
            Value::List(items) if items.len() == 2 => {
                let latitude = self.degrees(&items[0], owner, "latitude", 90.0);
                let longitude = self.degrees(&items[1], owner, "longitude", 180.0);
                Some((latitude?, longitude?))
            }
            _ => {
                let what = format!("`at` of {owner}");
                self.wrong_type(node, owner.id, &what, "latitude and longitude, `[-41.2, 174.9]`");
                None
            }
        }
    }

    fn degrees(&mut self, node: &Node<'_>, owner: Owner<'_>, key: &str, most: f64) -> Option<f64> {
        let Given { text, .. } = self.scalar(node, key, owner)?;
        let degrees = text.trim().parse::<f64>().ok().filter(|degrees| degrees.abs() <= most);
        if degrees.is_none() {
            let message = format!(
                "the {key} of {owner} is `{}`; expected degrees from -{most} to {most}",
                clip(text)
            );
            self.findings.push(bad_quantity::RULE.hit(node.origin, owner.id, message));
        }
        degrees
    }

    /// The place that an entry states.
    pub(super) fn stated_place(&mut self, fields: &Fields<'_>) -> Option<u32> {
        self.given(fields, "place").and_then(|given| self.place(&given))
    }
}
