//! The map: GeoJSON as RFC 7946 has it, in agreement with the JSON face; and descriptions of networks read
//! back as skeletons of plans. The network descriptions here are invented; member names follow the schema
//! of the Open Fibre Data Standard 0.3 (read), and 0.1 for references to nodes (read in its examples).

use std::path::Path;

use assert_cmd::Command;
use serde_json::{Value, json};

fn run(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(args);
    let output = command.output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().expect("it ended"), text(output.stdout), text(output.stderr))
}

fn map(plan: &str) -> Value {
    serde_json::from_str(&run(&["map", plan]).1).expect("JSON")
}

fn features(map: &Value) -> &Vec<Value> {
    map["features"].as_array().expect("features")
}

/// A skeleton made from a description, and what reading it as a plan says.
fn skeleton(description: &str) -> Result<(String, spanwright::read::plan::PlanReading), String> {
    let folder = tempfile::tempdir().expect("a folder");
    let (from, plan) = (folder.path().join("network.json"), folder.path().join("plan.yaml"));
    std::fs::write(&from, description).expect("written");
    let shown = |path: &Path| path.display().to_string();
    let (code, _, errors) = run(&["init", &shown(&plan), "--from", &shown(&from)]);
    if code != 0 {
        assert!(!plan.exists());
        return Err(errors);
    }
    let text = std::fs::read_to_string(&plan).expect("the plan");
    Ok((text, spanwright::read::plan::load(&plan, &[])))
}

/// RFC 7946: 3.1.1 longitude first; 3.2 features with geometry and properties; 4 no crs; 11.2 decimals.
#[test]
fn the_map_is_what_the_rfc_asks_for() {
    for plan in ["examples/tap-road/copied.yaml", "examples/suburban-overlay/overlay.yaml"] {
        let map = map(plan);
        assert_eq!(map["type"], "FeatureCollection");
        assert!(map.get("crs").is_none());
        let mut ids = Vec::new();
        for feature in features(&map) {
            assert_eq!(feature["type"], "Feature");
            assert!(feature["properties"].is_object());
            ids.push(feature["id"].as_str().expect("an id"));
            let geometry = &feature["geometry"];
            let positions = match geometry["type"].as_str() {
                None => Vec::new(),
                Some("Point") => vec![&geometry["coordinates"]],
                Some(_) => geometry["coordinates"].as_array().expect("a line").iter().collect(),
            };
            for position in positions {
                let (longitude, latitude) =
                    (position[0].as_f64().expect("a number"), position[1].as_f64().expect("a number"));
                // Both invented places lie in the south of the Pacific.
                assert!((-132.0..-128.0).contains(&longitude) && (-48.0..-46.0).contains(&latitude));
            }
        }
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count, "{plan}: an id stands twice");
    }
}

/// The worst margin of the whole plan stands at the office, and on the span that only its end uses.
#[test]
fn margins_and_verdicts_are_those_of_the_json_face() {
    let plan = "examples/tap-road/copied.yaml";
    let json: Value = serde_json::from_str(&run(&["budget", plan, "--format", "json"]).1).expect("JSON");
    let margin = |keep: &dyn Fn(&Value) -> bool| {
        let ends = json["ends"].as_array().expect("ends").iter().filter(|end| keep(end));
        let least = ends.filter_map(|end| end["margin_db"].as_f64()).fold(f64::INFINITY, f64::min);
        (least * 100.0 + 1e-6).floor() / 100.0
    };
    let map = map(plan);
    let of = |key: &str, name: &str| {
        let found = features(&map).iter().find(|feature| feature["properties"][key] == name);
        found.expect("the feature")["properties"].clone()
    };
    let office = of("id", "threnlow");
    assert_eq!(office["worst_margin_db"], margin(&|_| true));
    assert_eq!((&office["verdict"], &office["ends"]), (&json!("marginal"), &json!(64)));
    let drop = of("end", "house-7-4");
    assert_eq!(drop["worst_margin_db"], margin(&|end| end["id"] == "house-7-4"));
    // The last stretch of road serves the four houses of terminal 8, both ways.
    let road = of("cable", "skarn-8");
    assert_eq!(
        road["worst_margin_db"],
        margin(&|end| end["id"].as_str().expect("id").starts_with("house-8"))
    );
    assert_eq!((&road["ends"], &road["verdict"]), (&json!(8), &json!("pass")));
}

#[test]
fn a_map_read_back_is_a_plan_to_fill_in() {
    for plan in ["examples/tap-road/copied.yaml", "examples/suburban-overlay/overlay.yaml"] {
        let written = run(&["map", plan]).1;
        let (text, reading) = skeleton(&written).expect("a skeleton");
        assert!(!reading.is_bad_input(), "{:?}", reading.findings);
        let map: Value = serde_json::from_str(&written).expect("JSON");
        // What lies within one place is no span between places.
        let spans = features(&map).iter().filter(|f| {
            let of = &f["properties"];
            of["featureType"] == "span" && of["start"] != of["end"]
        });
        let stated: Vec<f64> =
            spans.map(|f| f["properties"]["length_km"].as_f64().expect("a length")).collect();
        assert_eq!(reading.plan.spans.len(), stated.len(), "{plan}");
        let sum: f64 = reading.plan.spans.iter().map(|span| span.length.value()).sum();
        approx::assert_abs_diff_eq!(
            sum,
            stated.iter().sum::<f64>(),
            epsilon = 1e-3 * stated.len() as f64
        );
        let placed = reading.plan.places.iter().filter(|place| place.at.is_some()).count();
        let points = features(&map).iter().filter(|f| f["geometry"]["type"] == "Point").count();
        assert_eq!(placed, points);
        assert!(text.contains("FILL IN the equipment"));
    }
}

fn ofds() -> Value {
    json!({
        "id": "7d1f3a52-0000-4000-8000-000000000001",
        "name": "Alder Reach trunk",
        "links": [{ "rel": "describedby", "href": "schema" }],
        "nodes": [
            { "id": "1", "name": "Alder Reach", "type": ["pop"],
              "location": { "type": "Point", "coordinates": [174.902, -41.208] } },
            { "id": "2", "name": "Fern Gate",
              "location": { "type": "Point", "coordinates": [174.952, -41.258] } },
            { "id": "3", "name": "Low Mill", "type": ["pop"],
              "location": { "type": "Point", "coordinates": [175.002, -41.308] } },
        ],
        "spans": [
            { "id": "a", "name": "Alder to Fern", "start": "1", "end": "2", "fibreLength": 7.4,
              "fibreType": "G.652", "fibreTypeDetails": { "fibreSubtype": "G.652.D" }, "fibreCount": 24 },
            { "id": "b", "name": "Fern to Mill", "start": { "id": "2" }, "end": { "id": "3" },
              "fibreLength": 7300, "fibreType": "G.653",
              "route": { "type": "LineString", "coordinates": [[174.952, -41.258], [175.002, -41.308]] } },
        ],
    })
}

#[test]
fn a_network_of_the_open_standard_becomes_a_skeleton() {
    let (text, reading) = skeleton(&ofds().to_string()).expect("a skeleton");
    assert!(!reading.is_bad_input(), "{:?}", reading.findings);
    let plan = &reading.plan;
    assert_eq!((plan.title.as_str(), plan.places.len(), plan.spans.len()), ("Alder Reach trunk", 3, 2));
    approx::assert_abs_diff_eq!(plan.spans[0].length.value(), 7.4, epsilon = 1e-9);
    assert_eq!(plan.places[0].at, Some((-41.208, 174.902)));
    // 7300 km beside a line of some 7 km: the standard counts kilometers, the file meters.
    let second = plan.spans[1].length.value();
    assert!((6.5..7.2).contains(&second), "{second}");
    assert!(text.contains("are those meters?"), "{text}");
    assert!(text.contains("no table has fiber G.653") || reading.tables.fibers.find("G.653").is_some());
    // Fiber runs through the node where two spans meet.
    assert_eq!(plan.spans[0].to, plan.spans[1].from);
    let package = json!({ "networks": [ofds(), ofds()] });
    let (_, reading) = skeleton(&package.to_string()).expect("a skeleton");
    assert_eq!((reading.plan.places.len(), reading.plan.spans.len()), (6, 4));
}

/// Filled in as the skeleton says, the plan is judged.
#[test]
fn a_filled_in_skeleton_is_judged() {
    let (text, _) = skeleton(&ofds().to_string()).expect("a skeleton");
    let filled = text.replace(
        "places:\n",
        "shelves:\n  sw-a: {ports: {1: {optic: 10GBASE-LR}}}\n  sw-b: {ports: {1: {optic: 10GBASE-LR}}}\nplaces:\n",
    ) + "  - {from: sw-a/1, to: Alder-Reach/1, length: 5 m, kind: patch-cord}\n\
         \x20 - {from: sw-b/1, to: Low-Mill/1, length: 5 m, kind: patch-cord}\n";
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.yaml");
    std::fs::write(&plan, filled).expect("written");
    let (_, out, errors) = run(&["budget", &plan.display().to_string(), "--format", "json"]);
    let json: Value = serde_json::from_str(&out).unwrap_or_else(|_| panic!("{errors}"));
    assert_eq!(json["ends"].as_array().map(Vec::len), Some(2));
}

/// A line whose ends carry no names joins the nodes that it ends at.
#[test]
fn plain_lines_and_points_are_joined() {
    let plain = json!({ "type": "FeatureCollection", "features": [
        { "type": "Feature", "properties": { "name": "A" },
          "geometry": { "type": "Point", "coordinates": [10.0, 50.0] } },
        { "type": "Feature", "properties": null,
          "geometry": { "type": "LineString", "coordinates": [[10.0001, 50.0], [10.1, 50.05], [10.2, 50.0]] } },
    ]});
    let (_, reading) = skeleton(&plain.to_string()).expect("a skeleton");
    assert!(!reading.is_bad_input(), "{:?}", reading.findings);
    assert_eq!((reading.plan.places.len(), reading.plan.spans.len()), (2, 1));
}

#[test]
fn faults_are_named_all_at_once_and_nothing_is_written() {
    let broken = "{\n  \"nodes\": [\n    {\"id\": 1,,}\n  ]\n}";
    let errors = skeleton(broken).expect_err("no JSON");
    assert!(errors.contains("network.json:3:") && errors.contains("no JSON"), "{errors}");
    let mut network = ofds();
    network["spans"][0]["end"] = json!("9");
    network["spans"][1].as_object_mut().expect("a span").remove("start");
    network["nodes"][2]["location"]["coordinates"] = json!([174.9, -141.0]);
    let errors = skeleton(&network.to_string()).expect_err("faults");
    for said in ["names the node `9`", "`spans/1` has no `start`", "`nodes/2` has a location"] {
        assert!(errors.contains(said), "{said} in {errors}");
    }
    assert!(skeleton("[]").expect_err("nothing").contains("no node"));
    assert!(skeleton("{\"type\": \"FeatureCollection\"}").expect_err("nothing").contains("features"));
}

/// Names from a file are names in a plan, whatever they hold.
#[test]
fn hostile_names_make_a_sound_plan() {
    let mut network = ofds();
    network["name"] = json!("]\n- {a: *b} # \u{202e}<script>");
    network["nodes"][0]["name"] = json!("=HYPERLINK(\"x\")\n\"}: #");
    network["nodes"][1]["name"] = json!("x".repeat(10_000));
    network["nodes"][2]["name"] = json!("…");
    network["spans"][0]["name"] = json!("# FILL\nspans: []");
    let (_, reading) = skeleton(&network.to_string()).expect("a skeleton");
    assert!(!reading.is_bad_input(), "{:?}", reading.findings);
    assert_eq!((reading.plan.places.len(), reading.plan.spans.len()), (3, 2));
}
