//! A plan in YAML with the CSV files that it names: read, judged, and made into every document.

use std::collections::BTreeMap;

use serde_json::Value;
use spanwright::budget::{Settings, detail, hazards};
use spanwright::engine::fit::Answers;
use spanwright::engine::{Judged, judge};
use spanwright::read::plan::load;
use spanwright::read::sources::Sources;
use spanwright::report::budget::{Budget, write_csv, write_json, write_table};
use spanwright::report::diff;
use spanwright::report::document::{Document, Identity, Lengths};
use spanwright::report::html::write_report;
use spanwright::report::map::write_geojson;
use spanwright::report::paint::Paint;
use spanwright::report::schedule::{Book, Cards, Options, Schedule};
use spanwright::units::{Kilometers, Percent};

use super::checks;
use super::parts::{Folder, asks_for_many, parts};

/// Half of the last digit that results print.
const ROUNDED: f64 = 0.005_000_001;
/// Ends up to which every document is made.
const SMALL: usize = 300;

pub(super) fn run(data: &[u8]) {
    if asks_for_many(data) {
        return;
    }
    let folder = Folder::with(&parts(data, "plan.yaml"));
    let reading = load(&folder.at("plan.yaml"), &[]);
    let sources = reading.sources;
    checks::drawn(&reading.findings, &sources);
    let settings = Settings { statistics: true, cross_check: None };
    match judge(reading.plan, reading.tables, reading.findings, sources.files(), settings) {
        Ok(judged) => every_result(&judged, &sources),
        Err(findings) => checks::refused(&findings, &sources),
    }
}

fn every_result(judged: &Judged, sources: &Sources) {
    checks::drawn(&judged.findings, sources);
    let view = judged.view();
    let open = hazards(view.plan, view.plant, view.tables, view.assessment, 5);
    let details: Vec<_> = judged
        .assessment
        .ends
        .iter()
        .take(4)
        .filter_map(|end| detail(view.plan, view.plant, view.tables, view.assessment, end))
        .collect();
    let budget = Budget {
        view,
        findings: &judged.findings,
        files: sources.files(),
        spare_legs: &judged.spare_legs,
        hazards: &open,
        details: &details,
        most_ends: Some(20),
        width: 100,
    };
    let (mut table, mut json, mut csv) = (Vec::new(), Vec::new(), Vec::new());
    write_table(&budget, Paint { color: false }, &mut table).expect("written");
    write_json(&budget, &mut json).expect("written");
    write_csv(&budget, &mut csv).expect("written");
    checks::table(&table);
    let document = checks::json(&json);
    assert_eq!(checks::has_error(&document), budget.has_errors(), "exit code and findings");
    for end in document["ends"].as_array().expect("ends") {
        an_end(end);
    }
    for pon in document["pons"].as_array().expect("PONs") {
        chances(pon);
    }
    let ports = judged.plan.ports.len() as u32;
    let _ = Answers::new(judged).of_each(0..ports.min(20)).len();
    if judged.assessment.ends.len() <= SMALL {
        documents(judged, sources, &open);
    }
}

fn an_end(end: &Value) {
    let number = |value: &Value| value.as_f64();
    let loss = &end["loss_db"];
    if let (Some(least), Some(typical), Some(most)) =
        (number(&loss["least"]), number(&loss["typical"]), number(&loss["most"]))
    {
        let ordered = 0.0 <= least && least <= typical + ROUNDED && typical <= most + ROUNDED;
        assert!(ordered, "least, typical, most: {end}");
    }
    if end["verdict"] == "pass" {
        let margin = number(&end["margin_db"]).expect("a pass has a margin");
        assert!(margin >= -ROUNDED, "a pass without margin: {end}");
        let headroom = number(&end["headroom_db"]);
        assert!(
            headroom.is_none_or(|headroom| headroom >= -ROUNDED),
            "a pass with too much light: {end}"
        );
    }
    chances(&end["yield"]);
}

/// Every number under a yield is a probability.
fn chances(value: &Value) {
    match value {
        Value::Object(map) => {
            map.iter().filter(|(key, _)| key.contains("yield")).for_each(|(_, value)| chances(value));
        }
        Value::Number(number) => {
            let chance = number.as_f64().expect("a number");
            assert!((0.0..=1.0).contains(&chance), "no probability: {chance}");
        }
        _ => {}
    }
}

fn documents(judged: &Judged, sources: &Sources, open: &[spanwright::budget::Hazard]) {
    let document = Document {
        view: judged.view(),
        findings: &judged.findings,
        files: sources.files(),
        hazards: open,
        identity: Identity::of(&judged.plan, None, sources.digest()),
        lengths: Lengths::Metric,
    };
    let options = Options {
        template: "TIA-598-12".to_string(),
        templates: BTreeMap::new(),
        reel: Kilometers::new(4.0),
        waste: Percent::new(3.0),
    };
    let (mut page, mut map, mut book) = (Vec::new(), Vec::new(), Vec::new());
    write_report(&document, &mut page).expect("written");
    write_geojson(&document, &mut map).expect("written");
    checks::json(&map);
    let mut bound = Book::begin(&document.identity, document.lengths).expect("a workbook");
    let schedule = Schedule::new(&document, &options);
    for sheet in schedule.sheets() {
        if let Some(cards) = Cards::of(&sheet) {
            cards.write(&schedule, &sheet, &mut page).expect("written");
        }
        bound.add(&sheet).expect("added");
    }
    bound.write(&mut book).expect("written");
    let same = diff::difference(&document, &document, &options);
    let (mut table, mut json) = (Vec::new(), Vec::new());
    diff::write_table(&same, Paint { color: false }, &mut table).expect("written");
    diff::write_json(&same, &mut json).expect("written");
    checks::table(&table);
    checks::json(&json);
}
