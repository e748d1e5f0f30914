//! The JSON of the Open Fibre Data Standard: one network, or a package of networks. Names of members as in
//! its schema of version 0.3; in earlier ones `start` and `end` hold an object with the node's id.

use serde_json::Value;

use super::geometry::{length, line, position};
use super::{Node, Reading, Stretch, fiber_type, reference, text};
use crate::units::Kilometers;

impl Reading {
    /// Reads a network, or every network of a package.
    pub(super) fn networks(&mut self, root: &Value) {
        match root.get("networks").and_then(Value::as_array) {
            Some(networks) => {
                let several = networks.len() > 1;
                for (index, network) in networks.iter().enumerate() {
                    self.network(network, &format!("networks/{index}/"), several);
                }
            }
            None => self.network(root, "", false),
        }
    }

    /// Ids are unique within a network only: with several networks they are told apart by its number.
    fn network(&mut self, network: &Value, place: &str, several: bool) {
        if self.network.name.is_empty() {
            self.network.name = text(network, "name");
        }
        let id = |id: String| if several { format!("{place}{id}") } else { id };
        let list = |key: &str| network.get(key).and_then(Value::as_array).cloned().unwrap_or_default();
        for (index, node) in list("nodes").iter().enumerate() {
            self.ofds_node(node, &format!("{place}nodes/{index}"), &id);
        }
        for (index, span) in list("spans").iter().enumerate() {
            self.ofds_span(span, &format!("{place}spans/{index}"), &id);
        }
    }

    fn ofds_node(&mut self, node: &Value, place: &str, id: &impl Fn(String) -> String) {
        let stated = text(node, "id");
        if stated.is_empty() {
            self.missing(place, "`id`", "every node of the standard has one");
            return;
        }
        let location = node.get("location").and_then(|location| location.get("coordinates"));
        let at = location.and_then(position);
        if location.is_some() && at.is_none() {
            self.wrong(place, "has a location that is no position (longitude, latitude)");
        }
        let kind = node.get("type").and_then(Value::as_array).and_then(|types| types.first()?.as_str());
        self.add_node(Node {
            id: id(stated),
            name: text(node, "name"),
            kind: kind.unwrap_or_default().to_string(),
            at,
        });
    }

    fn ofds_span(&mut self, span: &Value, place: &str, id: &impl Fn(String) -> String) {
        let ends = ["start", "end"].map(|key| (key, reference(span, key)));
        let mut found = [0usize; 2];
        for (slot, (key, stated)) in found.iter_mut().zip(ends) {
            if stated.is_empty() {
                let hint = "a span without both its nodes cannot be joined to anything";
                self.missing(place, &format!("`{key}`"), hint);
                return;
            }
            match self.node(&id(stated.clone())) {
                Some(index) => *slot = index,
                None => {
                    self.wrong(
                        place,
                        &format!("names the node `{stated}`, which the network does not have"),
                    );
                    return;
                }
            }
        }
        let drawn = span.get("route").and_then(line).map(|line| length(&line));
        let stated = span.get("fibreLength").and_then(Value::as_f64).filter(|km| *km > 0.0);
        let name = text(span, "name");
        self.add_span(Stretch {
            id: if name.is_empty() { text(span, "id") } else { name },
            ends: found,
            stated: stated.map(Kilometers::new),
            drawn,
            fiber: fiber_type(span),
            fibers: span.get("fibreCount").and_then(Value::as_u64),
            drop: false,
        });
    }

    /// Adds a node.
    pub(super) fn add_node(&mut self, node: Node) {
        if !self.has_room() {
            return;
        }
        if self.node(&node.id).is_some() {
            self.wrong(&node.id, "is the id of two nodes");
            return;
        }
        self.index.insert(node.id.clone(), self.network.nodes.len());
        self.network.nodes.push(node);
    }

    /// Adds a span; a stated length that cannot be that of its line is not taken over.
    pub(super) fn add_span(&mut self, mut span: Stretch) {
        /// A fiber is longer than its route by slack, not by a multiple.
        const FARTHEST: f64 = 20.0;
        if !self.has_room() {
            return;
        }
        if span.drawn.is_none() {
            let at = span.ends.map(|end| self.network.nodes[end].at);
            if let [Some(a), Some(b)] = at {
                span.drawn = Some(super::geometry::distance(a, b)).filter(|km| km.value() > 0.0);
            }
        }
        if let (Some(stated), Some(drawn)) = (span.stated, span.drawn) {
            let times = stated.value() / drawn.value();
            if !(1.0 / FARTHEST..=FARTHEST).contains(&times) {
                let unit = if (500.0..=2_000.0).contains(&times) { "; are those meters?" } else { "" };
                self.network.remarks.push(format!(
                    "span `{}` states {stated}, its line on the map measures {drawn}: the line is taken{unit}",
                    span.id
                ));
                span.stated = None;
            }
        }
        self.network.spans.push(span);
    }
}
