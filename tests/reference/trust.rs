//! What results say of the cells that they rest on.

use std::collections::BTreeMap;
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;

use super::Written;

fn spanwright(arguments: &[&str]) -> Output {
    Command::cargo_bin("spanwright").expect("the program").args(arguments).output().expect("it runs")
}

fn json(arguments: &[&str]) -> Value {
    let output = spanwright(arguments);
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| {
        panic!("{arguments:?}: {error}\n{}", String::from_utf8_lossy(&output.stderr))
    })
}

fn count(value: &Value, key: &str) -> u64 {
    value[key].as_u64().unwrap_or_else(|| panic!("no `{key}` in {value}"))
}

/// The parts of a count add up to its cells.
fn adds_up(value: &Value) {
    let parts = ["published", "common_practice", "memory", "invented_demo", "user"];
    let sum: u64 = parts.iter().map(|part| count(value, part)).sum();
    assert_eq!(sum, count(value, "cells"), "{value}");
}

/// `tables --trust` against a count of the written files: cells that are filled, and those named as read.
#[test]
fn tables_count_their_cells_by_trust() {
    let all = json(&["tables", "--trust", "--format", "json"]);
    let lines = all["lines"].as_array().expect("lines");
    let line = |name: &str| {
        let found = lines.iter().find(|line| line["name"] == name);
        found.unwrap_or_else(|| panic!("no {name}"))
    };
    lines.iter().for_each(adds_up);
    // Every column that is neither the name, other names nor bookkeeping.
    for (name, apart) in [("splitters", vec!["splitter"]), ("fiber-attenuation", vec!["fiber", "nm"])] {
        let table = Written::table(name);
        let (mut cells, mut read) = (0, 0);
        for row in &table.rows {
            let published: Vec<&str> = row["published_fields"].split(';').collect();
            for head in &table.heads {
                let kept = ["aliases", "source", "provenance", "published_fields", "note"]
                    .contains(&head.as_str());
                if !kept && !apart.contains(&head.as_str()) && !row[head].is_empty() {
                    cells += 1;
                    read += u64::from(published.contains(&head.as_str()));
                }
            }
        }
        let line = line(name);
        assert_eq!((count(line, "cells"), count(line, "published")), (cells, read), "{name}");
        assert_eq!(count(line, "rows"), table.rows.len() as u64, "{name}");
    }
    let sum: u64 = lines.iter().filter(|l| l["name"] != "all").map(|l| count(l, "memory")).sum();
    assert_eq!(count(line("all"), "memory"), sum);
    // One table by column adds up to its line.
    let columns = json(&["tables", "interfaces", "--trust", "--format", "json"]);
    let last = columns["lines"].as_array().and_then(|lines| lines.last()).expect("the sum");
    for key in ["rows", "cells", "published", "memory"] {
        assert_eq!(count(last, key), count(line("interfaces"), key), "{key}");
    }
    let csv =
        String::from_utf8(spanwright(&["tables", "--trust", "--format", "csv"]).stdout).expect("text");
    assert!(csv.starts_with("table,rows,cells,published,"), "{csv}");
    assert_eq!(csv.lines().count(), lines.len() + 1);
}

/// A path between two 10GBASE-LR over G.652.D with two connectors, counted by hand from the rows.
///
/// 10GBASE-LR against itself: wavelength 3 cells, kind of fiber, least channel loss, greatest channel
/// loss, launch maximum, overload, reach, dispersion twice, return loss where stated. G.652.D: kind, zero
/// dispersion 3, dispersion at 1550 nm 2. Attenuation at 1310 nm, connector and polish: the worst case reads least
/// and most alone, statistics the mean and the spread too.
#[test]
fn a_path_says_what_it_rests_on() {
    let path =
        ["path", "--optic", "10GBASE-LR", "--fiber", "G.652.D", "--length", "8 km", "--connectors", "2"];
    let with = |more: &[&str]| json(&[&path[..], more, &["--format", "json"]].concat());
    let full = with(&[]);
    let bare = with(&["--no-statistics"]);
    for document in [&full, &bare] {
        adds_up(&document["rests_on"]);
        let rows = document["tables_used"].as_array().expect("rows");
        let sum: u64 = rows.iter().map(|row| count(&row["cells"], "cells")).sum();
        assert_eq!(sum, count(&document["rests_on"], "cells"));
    }
    let rows: BTreeMap<String, u64> = full["tables_used"]
        .as_array()
        .expect("rows")
        .iter()
        .map(|row| (row["table"].as_str().expect("a name").to_string(), count(&row["cells"], "cells")))
        .collect();
    let filled = |table: &str, key: (&str, &str), more: Option<(&str, &str)>, columns: &[&str]| {
        let written = Written::table(table);
        let row = written
            .rows
            .iter()
            .find(|row| row[key.0] == key.1 && more.is_none_or(|(column, value)| row[column] == value));
        let row = row.unwrap_or_else(|| panic!("{key:?}"));
        columns.iter().filter(|column| !row[**column].is_empty()).count() as u64
    };
    let lr = [
        "tx_nm_min",
        "tx_nm",
        "tx_nm_max",
        "fiber_kind",
        "min_channel_loss_db",
        "max_channel_loss_db",
        "tx_max_dbm",
        "overload_dbm",
        "damage_dbm",
        "reach_g652_m",
        "dispersion_min_ps_nm",
        "dispersion_max_ps_nm",
        "min_return_loss_db",
    ];
    assert_eq!(rows["interfaces"], filled("interfaces", ("interface", "10GBASE-LR"), None, &lr));
    let four = ["least_db_km", "typical_db_km", "most_db_km", "spread_db_km"];
    let at = Some(("nm", "1310"));
    assert_eq!(rows["fiber-attenuation"], filled("fiber-attenuation", ("fiber", "G.652.D"), at, &four));
    assert_eq!(rows["connectors"], 4);
    // What it throws back, mated and free.
    assert_eq!(rows["polishes"], 2);
    // Without statistics neither mean nor spread decides: two cells less of fiber and connector each.
    assert_eq!(count(&bare["rests_on"], "cells") + 4, count(&full["rests_on"], "cells"));
    let text = String::from_utf8(spanwright(&path).stdout).expect("text");
    let cells = count(&full["rests_on"], "cells");
    assert!(text.contains(&format!("rests on {cells} table cells: ")), "{text}");
}

/// What is stated rests on no table: a measured span takes the fiber's loss from the plan.
#[test]
fn own_rows_and_read_cells_are_counted_apart() {
    let folder = tempfile::tempdir().expect("a folder");
    let head = "grade,least_db,typical_db,most_db,source,provenance\n";
    std::fs::write(folder.path().join("connectors.csv"), format!("{head}mine,0,0.1,0.2,own,user\n"))
        .expect("written");
    let tables = folder.path().to_string_lossy().into_owned();
    let document = json(&[
        "path",
        "--optic",
        "10GBASE-LR",
        "--length",
        "8 km",
        "--connectors",
        "2",
        "--connector",
        "mine",
        "--tables",
        &tables,
        "--format",
        "json",
    ]);
    // Least, typical and most are stated; the spread was not and is taken from them.
    assert_eq!(count(&document["rests_on"], "user"), 3, "{}", document["rests_on"]);
}

/// A port's answer counts its light and what its cage and module are.
#[test]
fn an_answer_says_what_it_rests_on() {
    let bare = ["fit", "--optic", "10GBASE-LR", "--length", "8 km", "--connectors", "2"];
    let caged = [&bare[..], &["--cage", "SFP+", "--form", "SFP+"]].concat();
    let cells = |arguments: &[&str]| {
        let document = json(&[arguments, &["--format", "json"]].concat());
        adds_up(&document["rests_on"]);
        count(&document["rests_on"], "cells")
    };
    // Whether it seats and works; lanes and rates of the form factor.
    assert!(cells(&caged) > cells(&bare), "the cage counts");
    let text = String::from_utf8(spanwright(&caged).stdout).expect("text");
    assert!(text.contains(&format!("rests on {} table cells: ", cells(&caged))), "{text}");
}

/// The page, the list of a plan's ports and the budget of one plan rest on the same cells.
#[test]
fn all_faces_of_a_plan_say_the_same() {
    let plan = format!("{}/examples/tap-road/copied.yaml", env!("CARGO_MANIFEST_DIR"));
    let budget = json(&["budget", &plan, "--format", "json"]);
    let rests = &budget["rests_on"];
    adds_up(rests);
    let cells = count(rests, "cells");
    assert!(
        cells > 0 && count(rests, "invented_demo") > 0,
        "an example rests on invented rows: {rests}"
    );
    let list = json(&["fit", &plan, "--format", "json"]);
    assert_eq!(&list["rests_on"], rests);
    let page = String::from_utf8(spanwright(&["report", &plan]).stdout).expect("text");
    assert!(page.contains(&format!("rests on {cells} table cells: ")), "the page says something else");
}

/// What no light meets is not counted: a spare splitter of a kind that stands nowhere else.
#[test]
fn dark_plant_is_not_counted() {
    let plan = |spare: &str| {
        format!(
            "spanwright: 1\ntitle: one home\n\
             defaults: {{fiber: G.652.D, connector: {{grade: C, polish: UPC}}}}\n\
             shelves:\n  olt-1: {{ports: {{1: {{optic: GPON-OLT-B+}}}}}}\n\
             splitters:\n  hub-1: {{ratio: 1x8}}\n{spare}\
             onts:\n  home-1: {{optic: GPON-ONU-B+}}\n\
             spans:\n  - {{from: olt-1/1, to: hub-1/in, length: 5 km}}\n  \
             - {{from: hub-1/1, to: home-1, length: 1 km}}\n"
        )
    };
    let folder = tempfile::tempdir().expect("a folder");
    let rows = |text: &str| {
        let path = folder.path().join("plan.yaml");
        std::fs::write(&path, text).expect("written");
        let document = json(&["budget", &path.to_string_lossy(), "--format", "json"]);
        document["tables_used"].as_array().expect("rows").len()
    };
    assert_eq!(rows(&plan("")), rows(&plan("  hub-2: {ratio: 1x32}\n")));
}

/// An audit counts the levels and limits of the optics that its rows name, each cell once.
#[test]
fn an_audit_says_what_it_rests_on() {
    let folder = tempfile::tempdir().expect("a folder");
    let audit = |rows: &str| {
        let path = folder.path().join("ports.csv");
        std::fs::write(&path, format!("site,port,module\n{rows}")).expect("written");
        let out = folder.path().join("found.json");
        spanwright(&["audit", &path.to_string_lossy(), "--out", &out.to_string_lossy()]);
        let text = std::fs::read_to_string(&out).expect("a report");
        let document: Value = serde_json::from_str(&text).expect("JSON");
        adds_up(&document["rests_on"]);
        count(&document["rests_on"], "cells")
    };
    let one = audit("A,1/1,10GBASE-LR\n");
    assert!(one >= 8, "{one}");
    assert_eq!(audit("A,1/1,10GBASE-LR\nA,1/2,10GBASE-LR\n"), one);
    assert!(audit("A,1/1,10GBASE-LR\nA,1/2,10GBASE-ER\n") > one);
    assert_eq!(audit("A,1/1,\n"), 0);
}
