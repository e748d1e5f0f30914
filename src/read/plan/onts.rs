//! ONTs: as a map, as a list of entries, or from CSV.

use super::csv_rows::{CsvTable, RowPlace};
use super::fields::{Fields, Named};
use super::fitting::SAID;
use super::given::{At, Given, Owner};
use super::reader::{Device, Reader};
use super::span_traits::YES_OR_NO;
use crate::check::plan_rules::conflicting_keys;
use crate::place::Origin;
use crate::plan::{Fitting, Port, PortKind};
use crate::read::schema::{OntEntryForm, OntForm};
use crate::read::yaml::{Node, Value};
use crate::tables::grid::Channel;

/// What is said of an ONT beside its id.
#[derive(Debug, Clone, Default)]
struct Ont {
    place: Option<u32>,
    optics: Option<u32>,
    /// The channel that stands behind the optic.
    channel: Option<String>,
    fitting: Option<u32>,
    /// `no` where the home is only passed.
    connected: Option<bool>,
}

/// What the cells of the row before meant: neighbors mostly say the same.
#[derive(Default)]
struct Before {
    place: (String, Option<u32>),
    optic: ([String; 2], Option<u32>),
    fitting: (String, Option<u32>),
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
        let channel = fields.node("channel").and_then(Node::text).map(str::trim);
        let channel = channel.filter(|text| Channel::parse(text).is_ok()).map(String::from);
        let connected = self.given(fields, "connected").and_then(|given| self.word(&given, &YES_OR_NO));
        Ont { place, optics, channel, fitting, connected }
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
        let fitted: Vec<_> = table.columns().into_iter().filter(|(_, key)| SAID.contains(key)).collect();
        while let Some(place) = table.next_row(self) {
            self.ont_row((&table, &fitted), &place, usual, &mut before);
        }
        Some(())
    }

    fn ont_row(
        &mut self,
        (table, fitted): (&CsvTable<'_>, &[(usize, &'static str)]),
        row: &RowPlace<'_>,
        usual: &Ont,
        before: &mut Before,
    ) {
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
        if let Some(text) = table.cell(table.column("connected")) {
            let at = At::cell(row, table.column("connected"));
            ont.connected = self.word(&Given { text, key: "connected", owner, at }, &YES_OR_NO);
        }
        self.row_optics(table, (row, owner), &mut ont, before);
        self.row_fitting((table, fitted), (row, owner), &mut ont, before);
        self.add_onts(name, at, row.origin(), &ont);
    }

    /// The optics of a row, and the channel of one.
    fn row_optics(
        &mut self,
        table: &CsvTable<'_>,
        (row, owner): (&RowPlace<'_>, Owner<'_>),
        ont: &mut Ont,
        before: &mut Before,
    ) {
        let columns = ["optic", "channel"].map(|key| table.column(key));
        let cells = columns.map(|column| table.cell(column));
        if cells == [None, None] {
            return;
        }
        let written = cells.map(Option::unwrap_or_default);
        if before.optic.0.each_ref().map(String::as_str) != written {
            let faults = self.findings.total();
            let optics = match cells[0] {
                Some(text) => text.split(';').map(|optic| optic.trim().to_string()).collect(),
                None => self.untuned(ont),
            };
            let channel = cells[1].map(|text| (text, columns[1]));
            let usual = ont.channel.as_deref().map(|text| (text, columns[0]));
            let optics = match channel.or(usual) {
                Some((text, column)) => {
                    let at = At::cell(row, column);
                    self.tuned(optics, &Given { text, key: "channel", owner, at })
                }
                None => optics,
            };
            let optics: Vec<&str> = optics.iter().map(String::as_str).collect();
            let set = self.optic_set(&optics);
            // A row with a fault is read anew, so that each of them is told.
            let known = self.findings.total() == faults;
            before.optic = (if known { written.map(String::from) } else { Default::default() }, set);
        }
        ont.optics = before.optic.1;
    }

    /// The optics that hold for all rows, without the channel that does.
    fn untuned(&self, ont: &Ont) -> Vec<String> {
        let set = ont.optics.and_then(|set| self.plan.optic_sets.get(set as usize));
        let end = ont.channel.as_deref().map_or_else(String::new, |channel| format!(" {channel}"));
        let optics = set.into_iter().flatten();
        optics.map(|optic| optic.strip_suffix(end.as_str()).unwrap_or(optic).to_string()).collect()
    }

    /// How the ONT of a row is fitted out.
    fn row_fitting(
        &mut self,
        (table, fitted): (&CsvTable<'_>, &[(usize, &'static str)]),
        (row, owner): (&RowPlace<'_>, Owner<'_>),
        ont: &mut Ont,
        before: &mut Before,
    ) {
        let said = fitted.iter().filter_map(|(index, key)| {
            let text = table.cell(Some(*index))?;
            Some(Given { text, key, owner, at: At::cell(row, Some(*index)) })
        });
        let said: Vec<Given<'_>> = said.collect();
        if said.is_empty() {
            return;
        }
        let cells: String = said.iter().flat_map(|given| [given.key, "\n", given.text, "\n"]).collect();
        if before.fitting.0 != cells {
            let faults = self.findings.total();
            let fitting = self.refitted(ont.fitting, &said, row.origin());
            // A row with a fault is read anew, so that each of them is told.
            let key = if self.findings.total() == faults { cells } else { String::new() };
            before.fitting = (key, fitting);
        }
        ont.fitting = before.fitting.1;
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
            connected: ont.connected.unwrap_or(true),
            origin,
        });
    }
}
