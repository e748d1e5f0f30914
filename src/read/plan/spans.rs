//! Spans, one by one, by ranges, or from CSV.

use std::collections::HashMap;

use foldhash::fast::RandomState;

use super::csv_rows::{CsvTable, RowPlace};
use super::fields::Fields;
use super::given::{At, Given, Owner};
use super::reader::Reader;
use super::span_traits::{Trait, Traits};
use crate::check::plan_rules::conflicting_keys;
use crate::read::schema::SpanForm;
use crate::read::yaml::{Node, Value};

/// Different cells of a column that are remembered with what they mean.
const REMEMBERED: usize = 4_096;

/// What the cells of one column were found to mean: most columns say the same few things.
struct Column {
    index: usize,
    key: &'static str,
    last: (String, Option<Trait>),
    known: HashMap<String, Trait, RandomState>,
}

/// A CSV table of spans: which column says what.
struct SpanTable<'t> {
    rows: CsvTable<'t>,
    from: Option<usize>,
    to: Option<usize>,
    length: Option<usize>,
    traits: Vec<Column>,
}

impl<'t> SpanTable<'t> {
    fn new(rows: CsvTable<'t>) -> Self {
        let traits = rows.columns().into_iter().filter(|(_, key)| !["from", "to"].contains(key));
        let traits = traits
            .map(|(index, key)| Column {
                index,
                key,
                last: (String::new(), None),
                known: HashMap::default(),
            })
            .collect();
        let (from, to, length) = (rows.column("from"), rows.column("to"), rows.column("length"));
        Self { rows, from, to, length, traits }
    }
}

impl Reader<'_> {
    pub(super) fn read_spans(&mut self, top: &Fields<'_>) {
        let Some(node) = top.node("spans") else { return };
        for item in self.items(node, "spans") {
            self.span_entry(item);
        }
    }

    /// The items of a section that is a list.
    pub(super) fn items<'n>(&mut self, node: &'n Node<'n>, section: &str) -> &'n [Node<'n>] {
        match &node.value {
            Value::Empty => &[],
            Value::List(items) => items,
            _ => {
                self.wrong_type(node, "", &format!("`{section}`"), "a list: `- { from: …, to: … }`");
                &[]
            }
        }
    }

    fn span_entry(&mut self, node: &Node<'_>) {
        let owner = side(node, "from")
            .map_or(Owner { kind: "this span", id: "" }, |id| Owner { kind: "the span from", id });
        let Some(fields) = self.open(node, SpanForm::KEYS, owner, node.origin) else { return };
        if fields.has("table") {
            self.span_table(&fields);
            return;
        }
        let from = self.required(&fields, "from", "olt-1/1/1");
        let to = self.required(&fields, "to", "odf-1/1");
        if !fields.has("length") {
            self.missing(owner, "length", node.origin, "7.4 km");
        }
        let traits = self.traits(&fields);
        let (Some(from), Some(to)) = (from, to) else { return };
        self.each_pair(&from, &to, |reader, from, to| {
            reader.add_span(from, to, &traits, node.origin);
        });
    }

    fn span_table(&mut self, fields: &Fields<'_>) {
        for key in ["from", "to"] {
            if let Some(node) = fields.node(key) {
                let message = format!("`{key}` stands beside `table`; each row states its own");
                self.findings.push(conflicting_keys::RULE.hit(node.origin, key, message));
            }
        }
        let traits = self.traits(fields);
        let Some(given) = self.given(fields, "table") else { return };
        let Some((file, text)) = self.csv_text(&given) else { return };
        let known: Vec<&'static str> =
            SpanForm::KEYS.iter().copied().filter(|key| *key != "table").collect();
        let stated = traits.length.is_some();
        let needed: &[&str] = if stated { &["from", "to"] } else { &["from", "to", "length"] };
        let Some(rows) = CsvTable::open(self, (&text, file), "a table of spans", &known, needed) else {
            return;
        };
        self.plan.spans.reserve(rows.expected().0);
        let mut table = SpanTable::new(rows);
        while let Some(place) = table.rows.next_row(self) {
            self.span_row(&mut table, &place, traits.clone());
        }
    }

    fn span_row(&mut self, table: &mut SpanTable<'_>, place: &RowPlace<'_>, mut traits: Traits) {
        let rows = &table.rows;
        let owner = Owner { kind: "the span from", id: rows.cell(table.from).unwrap_or("…") };
        for column in &mut table.traits {
            let Some(text) = rows.cell(Some(column.index)) else { continue };
            let at = At::Cell(place, column.index);
            let given = Given { text, key: column.key, owner, at };
            if column.key == "measured" {
                traits.set_readings(self.readings_in_text(&given));
            } else if let Some(said) = self.remembered(column, &given) {
                traits.set(said);
            }
        }
        if traits.length.is_none() && rows.cell(table.length).is_none() {
            self.missing(owner, "length", place.origin(), "90 m");
        }
        let from = self.end_of_row(rows, place, (table.from, "from"), owner);
        let to = self.end_of_row(rows, place, (table.to, "to"), owner);
        if let (Some(from), Some(to)) = (from, to) {
            let origin = place.origin();
            self.each_pair(&from, &to, |reader, from, to| {
                reader.add_span(from, to, &traits, origin);
            });
        }
    }

    /// The cell of a row that names one end of its span.
    fn end_of_row<'r>(
        &mut self,
        rows: &'r CsvTable<'_>,
        place: &'r RowPlace<'r>,
        (column, key): (Option<usize>, &'static str),
        owner: Owner<'r>,
    ) -> Option<Given<'r>> {
        let at = At::cell(place, column);
        if let Some(text) = rows.cell(column) {
            return Some(Given { text, key, owner, at });
        }
        self.missing(owner, key, at.origin(), "odf-1/1");
        None
    }

    /// What a cell says; looked up if the same text stood in the column before.
    fn remembered(&mut self, column: &mut Column, given: &Given<'_>) -> Option<Trait> {
        if column.last.0 == given.text && column.last.1.is_some() {
            return column.last.1;
        }
        let mut said = column.known.get(given.text).copied();
        if said.is_none() {
            said = self.span_trait(column.key, given);
            if let Some(said) = said.filter(|_| column.known.len() < REMEMBERED) {
                column.known.insert(given.text.to_string(), said);
            }
        }
        column.last.0.clear();
        column.last.0.push_str(given.text);
        column.last.1 = said;
        said
    }
}

/// The name under a key of an entry, for messages.
pub(super) fn side<'n>(node: &'n Node<'n>, key: &str) -> Option<&'n str> {
    let Value::Map(entries) = &node.value else { return None };
    entries.iter().find(|(known, _)| known.text() == Some(key)).and_then(|(_, value)| value.text())
}
