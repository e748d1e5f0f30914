//! Descriptions of existing networks, to begin a plan with: GeoJSON (RFC 7946), and the JSON and GeoJSON of
//! the Open Fibre Data Standard (nodes and spans, 0.1 to 0.4).
//!
//! [`read`] tells the forms apart. What a file does not say stays unsaid: a plan made of it is a skeleton.

mod features;
mod geometry;
mod ofds;

use std::collections::HashMap;

use serde_json::Value;

use super::limits;
use crate::check::plan_rules::{empty, missing_key, syntax, too_large, wrong_type};
use crate::check::{Finding, sort};
use crate::place::{FileId, Origin};
use crate::units::Kilometers;

/// A point of a network.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Node {
    /// Its id in the file.
    pub id: String,
    /// Its name; empty when the file states none.
    pub name: String,
    /// What it is, in the file's words; empty when not stated.
    pub kind: String,
    /// Latitude and longitude, degrees.
    pub at: Option<(f64, f64)>,
}

/// A connection between two nodes.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Stretch {
    /// Its id or name in the file.
    pub id: String,
    /// Indices of its nodes.
    pub ends: [usize; 2],
    /// Length that the file states.
    pub stated: Option<Kilometers>,
    /// Length of its line on the map; straight between its nodes where no line is given.
    pub drawn: Option<Kilometers>,
    /// Fiber type that the file states; empty when not stated.
    pub fiber: String,
    /// Fibers that the file states.
    pub fibers: Option<u64>,
    /// Whether it is a drop to premises.
    pub drop: bool,
}

/// A network as it was read.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Network {
    /// Its name; empty when the file states none.
    pub name: String,
    /// Its nodes.
    pub nodes: Vec<Node>,
    /// Its spans.
    pub spans: Vec<Stretch>,
    /// What the file says that could not be taken over, a line each.
    pub remarks: Vec<String>,
}

/// Reads a description of a network.
///
/// # Errors
/// Every fault that keeps the file from being understood.
pub fn read(text: &str, file: FileId) -> Result<Network, Vec<Finding>> {
    let root: Value = serde_json::from_str(text).map_err(|error| vec![not_json(text, &error, file)])?;
    let mut reading =
        Reading { file, network: Network::default(), faults: Vec::new(), index: HashMap::new() };
    match root.get("type").and_then(Value::as_str) {
        Some("FeatureCollection") => reading.features(&root),
        Some("Feature") => reading.features(&serde_json::json!({ "features": [root] })),
        _ => reading.networks(&root),
    }
    let network = reading.network;
    let mut faults = reading.faults;
    if faults.is_empty() && network.nodes.is_empty() {
        let message = "the file holds no node and no span of a network";
        let hint = "expected a FeatureCollection, or a network with `nodes` and `spans`";
        faults.push(empty::RULE.hit(Origin::whole(file), "", message).hint(hint));
    }
    if faults.is_empty() {
        return Ok(network);
    }
    sort(&mut faults);
    Err(faults)
}

/// A file that is no JSON, with the place where it stops being any.
fn not_json(text: &str, error: &serde_json::Error, file: FileId) -> Finding {
    let line = error.line().max(1);
    let before: usize = text.split_inclusive('\n').take(line - 1).map(str::len).sum();
    let here = text.get(before..).and_then(|rest| rest.lines().next()).unwrap_or_default();
    let column = error.column().clamp(1, here.chars().count().max(1));
    let inside: usize = here.chars().take(column - 1).map(char::len_utf8).sum();
    let origin = Origin {
        file,
        line: line as u32,
        column: column as u32,
        start: (before + inside) as u32,
        length: 0,
    };
    let words = error.to_string();
    let words = words.split(" at line ").next().unwrap_or_default();
    let message = format!("the file is no JSON: {words}");
    syntax::RULE.hit(origin, "", message).hint("GeoJSON and the Open Fibre Data Standard are JSON")
}

/// A file under reading.
pub(super) struct Reading {
    file: FileId,
    network: Network,
    faults: Vec<Finding>,
    /// Nodes by id.
    index: HashMap<String, usize>,
}

impl Reading {
    fn missing(&mut self, place: &str, what: &str, hint: &str) {
        let message = format!("`{place}` has no {what}");
        let finding = missing_key::RULE.hit(Origin::whole(self.file), place, message);
        self.faults.push(finding.hint(hint));
    }

    fn wrong(&mut self, place: &str, what: &str) {
        let message = format!("`{place}` {what}");
        self.faults.push(wrong_type::RULE.hit(Origin::whole(self.file), place, message));
    }

    /// Whether one more node or span may be read.
    fn has_room(&mut self) -> bool {
        let count = self.network.nodes.len() + self.network.spans.len();
        if count < limits::FEATURES {
            return true;
        }
        if count == limits::FEATURES && !self.faults.iter().any(|f| f.rule.id == too_large::RULE.id) {
            let message = format!("more than {} nodes and spans", limits::FEATURES);
            self.faults.push(too_large::RULE.hit(Origin::whole(self.file), "", message));
        }
        false
    }

    /// The index of a node by its id.
    fn node(&self, id: &str) -> Option<usize> {
        self.index.get(id).copied()
    }
}

/// A text member, a number taken as text; empty when it is not there.
fn text(value: &Value, key: &str) -> String {
    match value.get(key) {
        Some(Value::String(text)) => text.trim().to_string(),
        Some(Value::Number(number)) => number.to_string(),
        _ => String::new(),
    }
}

/// The first of several text members that is there.
fn first_text(value: &Value, keys: &[&str]) -> String {
    keys.iter().map(|key| text(value, key)).find(|text| !text.is_empty()).unwrap_or_default()
}

/// A reference to a node: its id, or an object that holds it.
fn reference(value: &Value, key: &str) -> String {
    match value.get(key) {
        Some(object @ Value::Object(_)) => text(object, "id"),
        _ => text(value, key),
    }
}

/// The fiber type of a span in the Open Fibre Data Standard: the subtype, where it is stated.
fn fiber_type(span: &Value) -> String {
    let details = span.get("fibreTypeDetails").map(|details| text(details, "fibreSubtype"));
    details
        .filter(|subtype| !subtype.is_empty())
        .unwrap_or_else(|| first_text(span, &["fibreType", "fiber"]))
}
