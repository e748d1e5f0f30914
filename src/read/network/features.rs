//! GeoJSON: points are nodes, lines are spans.

use serde_json::Value;

use super::geometry::{distance, length, line, position};
use super::{Node, Reading, Stretch, fiber_type, first_text, reference};
use crate::units::Kilometers;

/// A line that ends this near to a node ends at it, km.
const SAME_PLACE: Kilometers = Kilometers::new(0.05);

impl Reading {
    /// Reads every feature: nodes first, spans name them.
    pub(super) fn features(&mut self, root: &Value) {
        self.network.name = first_text(root, &["title", "name"]);
        let Some(features) = root.get("features").and_then(Value::as_array) else {
            self.missing("FeatureCollection", "list `features`", "RFC 7946 asks for one");
            return;
        };
        for (index, feature) in features.iter().enumerate() {
            self.node_feature(feature, &format!("features/{index}"));
        }
        for (index, feature) in features.iter().enumerate() {
            self.span_feature(feature, &format!("features/{index}"));
        }
    }

    fn node_feature(&mut self, feature: &Value, place: &str) {
        let properties = feature.get("properties").unwrap_or(&Value::Null);
        let geometry = feature.get("geometry").unwrap_or(&Value::Null);
        let is_point = geometry.get("type").and_then(Value::as_str) == Some("Point");
        let said = first_text(properties, &["featureType"]);
        if !is_point && said != "place" && said != "node" {
            return;
        }
        let at = geometry.get("coordinates").and_then(position);
        if is_point && at.is_none() {
            self.wrong(place, "has coordinates that are no position (longitude, latitude)");
            return;
        }
        let number = self.network.nodes.len() + 1;
        let stated = first_text(properties, &["id", "name"]);
        let kinds = properties.get("type").and_then(Value::as_array);
        let kind = kinds.and_then(|types| types.first()?.as_str()).map(str::to_string);
        self.add_node(Node {
            id: if stated.is_empty() { format!("node-{number}") } else { stated },
            name: first_text(properties, &["name"]),
            kind: kind.unwrap_or_else(|| first_text(properties, &["kind"])),
            at,
        });
    }

    fn span_feature(&mut self, feature: &Value, place: &str) {
        let properties = feature.get("properties").unwrap_or(&Value::Null);
        let geometry = feature.get("geometry").unwrap_or(&Value::Null);
        let shape = geometry.get("type").and_then(Value::as_str).unwrap_or_default();
        let said = first_text(properties, &["featureType"]);
        let is_line = shape == "LineString" || shape == "MultiLineString";
        if !is_line && said != "span" {
            return;
        }
        let drawn = line(geometry);
        if is_line && drawn.is_none() {
            self.wrong(place, "has a line of fewer than two positions (longitude, latitude)");
            return;
        }
        let named = ["start", "end"].map(|key| reference(properties, key));
        let tips = drawn.as_ref().and_then(|line| Some([*line.first()?, *line.last()?]));
        let mut ends = [0usize; 2];
        for (index, slot) in ends.iter_mut().enumerate() {
            match self.end_of(&named[index], tips.map(|tips| tips[index])) {
                Some(node) => *slot = node,
                None => {
                    self.missing(place, "end that is a node", "name `start` and `end`, or draw a line");
                    return;
                }
            }
        }
        let number = |key: &str| properties.get(key).and_then(Value::as_f64).filter(|km| *km > 0.0);
        let stated = number("length_km").or_else(|| number("fibreLength"));
        self.add_span(Stretch {
            id: first_text(properties, &["cable", "name", "id"]),
            ends,
            stated: stated.map(Kilometers::new),
            drawn: drawn.map(|line| length(&line)).filter(|km| km.value() > 0.0),
            fiber: fiber_type(properties),
            fibers: ["fibers", "fibreCount"].iter().find_map(|key| properties.get(*key)?.as_u64()),
            drop: first_text(properties, &["kind"]) == "drop",
        });
    }

    /// The node at one end of a line: the one that is named, the nearest one, or a new one.
    fn end_of(&mut self, named: &str, tip: Option<(f64, f64)>) -> Option<usize> {
        if let Some(known) = self.node(named).filter(|_| !named.is_empty()) {
            return Some(known);
        }
        let near = tip.and_then(|tip| {
            let nodes = self.network.nodes.iter().enumerate();
            // A thousandth of a degree of latitude is more than the distance looked for.
            let apart = nodes.filter_map(|(index, node)| {
                let at = node.at.filter(|at| (at.0 - tip.0).abs() < 1e-3)?;
                Some((distance(at, tip), index))
            });
            let nearest = apart.min_by(|a, b| a.0.value().total_cmp(&b.0.value()));
            nearest.filter(|(apart, _)| *apart <= SAME_PLACE).map(|(_, index)| index)
        });
        if near.is_some() {
            return near;
        }
        if named.is_empty() && tip.is_none() {
            return None;
        }
        let number = self.network.nodes.len() + 1;
        let id = if named.is_empty() { format!("node-{number}") } else { named.to_string() };
        self.add_node(Node { id: id.clone(), at: tip, ..Node::default() });
        self.node(&id)
    }
}
