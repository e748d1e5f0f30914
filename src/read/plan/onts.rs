//! ONTs: as a map, as a list of entries, or from CSV.

use super::csv_rows::{CsvTable, RowPlace};
use super::fields::{Fields, Named};
use super::given::{At, Given, Owner};
use super::reader::{Device, Reader};
use crate::check::plan_rules::conflicting_keys;
use crate::place::Origin;
use crate::plan::{Fitting, Port, PortKind};
use crate::read::schema::{OntEntryForm, OntForm};
use crate::read::yaml::{Node, Value};

/// What is said of an ONT beside its id.
#[derive(Debug, Clone, Default)]
struct Ont {
    place: Option<u32>,
    optics: Option<u32>,
    fitting: Option<u32>,
}

/// What the cells of the row before meant: neighbors mostly say the same.
#[derive(Default)]
struct Before {
    place: (String, Option<u32>),
    optic: (String, Option<u32>),
}

impl Reader<'_> {
    pub(super) fn read_onts(&mut self, top: &Fields<'_>) {
        let Some(node) = top.node("onts") else { return };
        match &node.value {
            Value::List(items) => items.iter().for_each(|item| self.ont_entry(item)),
            _ => {
                for entry in self.devices_of(top, "onts") {
                    self.named_ont(&entry);
                }
            }
        }
    }

    fn named_ont(&mut self, entry: &Named<'_>) {
        let owner = Owner { kind: "ONT", id: entry.name };
        let fields = self.open(entry.value, OntForm::KEYS, owner, entry.origin);
        let ont = fields.map(|fields| self.ont(&fields)).unwrap_or_default();
        self.add_onts(entry.name, At::Known(entry.origin), entry.origin, &ont);
    }

    fn ont(&mut self, fields: &Fields<'_>) -> Ont {
        let place = self.stated_place(fields);
        let (optics, fitting) = self.fitted(fields, &Fitting::default());
        Ont { place, optics, fitting }
    }

    fn ont_entry(&mut self, node: &Node<'_>) {
        let owner = Owner { kind: "this entry of `onts`", id: "" };
        let Some(fields) = self.open(node, OntEntryForm::KEYS, owner, node.origin) else {
            self.devices_unsure = true;
            return;
        };
        let ont = self.ont(&fields);
        if !fields.has("table") {
            match self.required(&fields, "id", "home-[001-032]") {
                Some(id) => self.add_onts(id.text, id.at, id.at.origin(), &ont),
                None => self.devices_unsure = true,
            }
            return;
        }
        if let Some(node) = fields.node("id") {
            let message = "`id` stands beside `table`; each row states its own";
            self.findings.push(conflicting_keys::RULE.hit(node.origin, "id", message));
        }
        if self.ont_table(&fields, &ont).is_none() {
            self.devices_unsure = true;
        }
    }

    fn ont_table(&mut self, fields: &Fields<'_>, usual: &Ont) -> Option<()> {
        let given = self.given(fields, "table")?;
        let (file, text) = self.csv_text(&given)?;
        let known: Vec<&'static str> =
            OntEntryForm::KEYS.iter().copied().filter(|key| *key != "table").collect();
        let mut table = CsvTable::open(self, (&text, file), "a table of ONTs", &known, &["id"])?;
        let (rows, bytes) = table.expected();
        self.make_room(rows, bytes);
        let mut before = Before::default();
        while let Some(place) = table.next_row(self) {
            self.ont_row(&table, &place, usual, &mut before);
        }
        Some(())
    }

    fn ont_row(&mut self, table: &CsvTable<'_>, row: &RowPlace<'_>, usual: &Ont, before: &mut Before) {
        let column = table.column("id");
        let at = At::cell(row, column);
        let Some(name) = table.cell(column) else {
            let owner = Owner { kind: "this ONT", id: "" };
            self.missing(owner, "id", at.origin(), "home-001");
            return;
        };
        let owner = Owner { kind: "ONT", id: name };
        let mut ont = usual.clone();
        if let Some(text) = table.cell(table.column("place")) {
            if before.place.0 != text || before.place.1.is_none() {
                let at = At::cell(row, table.column("place"));
                let place = self.place(&Given { text, key: "place", owner, at });
                before.place = (text.to_string(), place);
            }
            ont.place = before.place.1;
        }
        if let Some(text) = table.cell(table.column("optic")) {
            if before.optic.0 != text {
                let optics: Vec<&str> = text.split(';').map(str::trim).collect();
                before.optic = (text.to_string(), self.optic_set(&optics));
            }
            ont.optics = before.optic.1;
        }
        if let Some(text) = table.cell(table.column("cage")) {
            let at = At::cell(row, table.column("cage"));
            ont.fitting = self.with_cage(ont.fitting, &Given { text, key: "cage", owner, at });
        }
        self.add_onts(name, at, row.origin(), &ont);
    }

    /// Adds the ONTs that a name, perhaps with ranges, stands for.
    fn add_onts(&mut self, written: &str, at: At<'_>, origin: Origin, ont: &Ont) {
        self.each_id(written, at, |reader, name| reader.add_ont(name, at, origin, ont));
    }

    fn add_ont(&mut self, name: &str, at: At<'_>, origin: Origin, ont: &Ont) {
        let port = Device::Port(self.plan.ports.len() as u32);
        let Some(id) = self.register(name, "ONT", at, port) else { return };
        self.plan.ports.push(Port {
            name: id,
            kind: PortKind::Ont,
            place: ont.place,
            optics: ont.optics,
            fitting: ont.fitting,
            origin,
        });
    }
}
