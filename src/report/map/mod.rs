//! The plan on a map: GeoJSON (RFC 7946) of places and of the spans between them.
//!
//! Longitude stands before latitude, WGS 84, no `crs` member, seven decimals (about a centimeter). A span is
//! drawn straight between its places: the plan knows no route. What has no coordinates is there with a
//! `null` geometry, so that nothing is lost. The map carries no style: `verdict` and `worst_margin_db` are
//! properties.

mod tally;

use std::collections::BTreeMap;
use std::io::{self, Write};

use serde_json::{Map, Value, json};

use crate::budget::Verdict;
use crate::plan::{Plan, PointRef, Span};
use crate::report::document::Document;
use tally::{Tally, Worst};

/// Writes the map.
///
/// # Errors
/// Whatever the writer says.
pub fn write_geojson(document: &Document<'_>, out: &mut impl Write) -> io::Result<()> {
    let tally = Tally::of(document);
    let mut features = places(document, &tally);
    features.extend(stretches(document, &tally));
    let identity = &document.identity;
    let map = json!({
        "type": "FeatureCollection",
        "title": identity.title,
        "revision": identity.revision,
        "date": identity.date,
        "plan_sha256": identity.hash,
        "generator": format!("spanwright {}", env!("CARGO_PKG_VERSION")),
        "features": features,
    });
    serde_json::to_writer_pretty(&mut *out, &map).map_err(io::Error::from)?;
    writeln!(out)
}

/// A coordinate, to a hundred-millionth of a degree or so.
fn degrees(value: f64) -> f64 {
    (value * 1e7).round() / 1e7 + 0.0
}

fn position(plan: &Plan, place: usize) -> Option<[f64; 2]> {
    let (latitude, longitude) = plan.places.get(place)?.at?;
    Some([degrees(longitude), degrees(latitude)])
}

/// What the ends say of a place or a span.
fn judged(worst: &Worst, whys: &[Vec<&'static str>]) -> [(&'static str, Value); 4] {
    let margin = worst.margin.map(|margin| margin.rounded_down().value());
    [
        ("ends", json!(worst.ends)),
        ("worst_margin_db", json!(margin)),
        ("verdict", json!(worst.verdict.map(Verdict::word))),
        ("why", json!(whys.get(usize::from(worst.why)))),
    ]
}

fn feature(id: &str, geometry: &Value, properties: &Map<String, Value>) -> Value {
    json!({ "type": "Feature", "id": id, "geometry": geometry, "properties": properties })
}

fn places(document: &Document<'_>, tally: &Tally) -> Vec<Value> {
    let plan = document.view.plan;
    let devices = devices_by_place(plan);
    let mut features = Vec::new();
    for (index, place) in plan.places.iter().enumerate() {
        let id = plan.names.get(place.name);
        let at = position(plan, index)
            .map_or(Value::Null, |at| json!({ "type": "Point", "coordinates": at }));
        let mut properties = Map::new();
        properties.insert("featureType".to_string(), json!("place"));
        properties.insert("id".to_string(), json!(id));
        properties.insert("kind".to_string(), json!(place.kind));
        properties.insert("status".to_string(), json!("planned"));
        properties
            .insert("devices".to_string(), json!(devices.get(&(index as u32)).unwrap_or(&Vec::new())));
        for (key, value) in judged(&tally.places[index], &document.view.assessment.standing.whys) {
            properties.insert(key.to_string(), value);
        }
        features.push(feature(&format!("place:{id}"), &at, &properties));
    }
    features
}

/// The ids of what stands at each place; ONTs, which may be many, are not among them.
fn devices_by_place(plan: &Plan) -> BTreeMap<u32, Vec<String>> {
    let mut found: BTreeMap<u32, Vec<String>> = BTreeMap::new();
    let shelves = plan.shelves.iter().map(|device| (device.place, device.name));
    let panels = plan.panels.iter().map(|device| (device.place, device.name));
    let cases = plan.splice_cases.iter().map(|device| (device.place, device.name));
    let splitters = plan.splitters.iter().map(|device| (device.place, device.name));
    let taps = plan.taps.iter().map(|device| (device.place, device.name));
    let wdm = plan.wdm_elements.iter().map(|device| (device.place, device.name));
    let pads = plan.attenuators.iter().map(|device| (device.place, device.name));
    let all = shelves.chain(panels).chain(cases).chain(splitters).chain(taps).chain(wdm).chain(pads);
    for (place, name) in all {
        if let Some(place) = place {
            found.entry(place).or_default().push(plan.names.get(name).to_string());
        }
    }
    found
}

/// The spans of one cable between the same two places (or, without places, between the same devices).
#[derive(Debug, Default)]
struct Stretch {
    places: [Option<u32>; 2],
    names: [String; 2],
    cable: String,
    kind: &'static str,
    fiber: String,
    length_km: [f64; 2],
    fibers: u64,
    strands: Vec<u32>,
    worst: Worst,
}

fn stretches(document: &Document<'_>, tally: &Tally) -> Vec<Value> {
    let plan = document.view.plan;
    let mut found: BTreeMap<(String, [String; 2], &'static str), Stretch> = BTreeMap::new();
    for (index, span) in plan.spans.iter().enumerate().filter(|(_, span)| span.outside) {
        let names = [span.from, span.to].map(|point| where_is(plan, point));
        let cable = span.cable.and_then(|cable| plan.cables.get(usize::from(cable)));
        let cable = cable.cloned().unwrap_or_default();
        let key = (cable.clone(), names.clone(), span.kind.word());
        let stretch = found.entry(key).or_insert_with(|| Stretch {
            places: [plan.place_of(span.from), plan.place_of(span.to)],
            names,
            cable,
            kind: span.kind.word(),
            fiber: plan.fibers.get(usize::from(span.fiber)).cloned().unwrap_or_default(),
            length_km: [f64::INFINITY, 0.0],
            ..Stretch::default()
        });
        stretch.add(span, &tally.spans[index]);
    }
    let whys = &document.view.assessment.standing.whys;
    found.values().map(|stretch| stretch.feature(plan, whys)).collect()
}

/// The place of a point, or its device where no place is stated.
fn where_is(plan: &Plan, point: PointRef) -> String {
    if let Some(place) = plan.place_of(point).and_then(|place| plan.places.get(place as usize)) {
        return plan.names.get(place.name).to_string();
    }
    let name = plan.point_name(point);
    name.rsplit_once('/').map_or_else(|| name.clone(), |(device, _)| device.to_string())
}

impl Stretch {
    fn add(&mut self, span: &Span, worst: &Worst) {
        let length = span.length.value();
        self.length_km = [self.length_km[0].min(length), self.length_km[1].max(length)];
        self.fibers += 1;
        if span.strand > 0 && !self.strands.contains(&span.strand) {
            self.strands.push(span.strand);
        }
        self.worst.join(worst);
    }

    fn feature(&self, plan: &Plan, whys: &[Vec<&'static str>]) -> Value {
        let at = self.places.map(|place| place.and_then(|place| position(plan, place as usize)));
        let geometry = match at {
            [Some(from), Some(to)] if from != to => line(from, to),
            _ => Value::Null,
        };
        let km = |value: f64| (value * 1e6).round() / 1e6;
        let mut properties = Map::new();
        for (key, value) in [
            ("featureType", json!("span")),
            ("start", json!(self.names[0])),
            ("end", json!(self.names[1])),
            ("cable", json!(self.cable)),
            ("kind", json!(self.kind)),
            ("status", json!("planned")),
            ("fiber", json!(self.fiber)),
            ("fibers", json!(self.fibers)),
            ("strands", json!(self.strands)),
            ("length_km", json!(km(self.length_km[1]))),
            ("shortest_km", json!(km(self.length_km[0]))),
        ] {
            properties.insert(key.to_string(), value);
        }
        for (key, value) in judged(&self.worst, whys) {
            properties.insert(key.to_string(), value);
        }
        let id = format!("span:{}:{}:{}:{}", self.kind, self.cable, self.names[0], self.names[1]);
        feature(&id, &geometry, &properties)
    }
}

/// A straight line; one that crosses the antimeridian is cut there in two (RFC 7946, 3.1.9).
fn line(from: [f64; 2], to: [f64; 2]) -> Value {
    let crosses = (from[0] - to[0]).abs() > 180.0;
    if !crosses {
        return json!({ "type": "LineString", "coordinates": [from, to] });
    }
    let side = 180f64.copysign(from[0]);
    // The far end as if the world went on behind the antimeridian.
    let beyond = to[0] + 360f64.copysign(from[0]);
    let share = (side - from[0]) / (beyond - from[0]);
    let latitude = degrees(from[1] + (to[1] - from[1]) * share);
    json!({
        "type": "MultiLineString",
        "coordinates": [[from, [side, latitude]], [[-side, latitude], to]],
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Halfway between 179 and -179 degrees lies the antimeridian.
    #[test]
    fn a_line_over_the_antimeridian_is_cut() {
        let cut = line([179.0, 10.0], [-179.0, 20.0]);
        assert_eq!(
            cut["coordinates"],
            json!([[[179.0, 10.0], [180.0, 15.0]], [[-180.0, 15.0], [-179.0, 20.0]]])
        );
        assert_eq!(line([1.0, 2.0], [3.0, 4.0])["type"], "LineString");
    }
}
