//! `spanwright audit` end to end: exit codes, lists, what changed, what is accepted, and files that are
//! whole or not there.

use std::path::{Path, PathBuf};
use std::process::{Command, Output};

use serde_json::Value;

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn run(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    command.current_dir(root()).env_remove("NO_COLOR").env("COLUMNS", "100").arg("audit").args(args);
    command.output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn json(args: &[&str]) -> Value {
    let output = run(&[args, &["--format", "json"]].concat());
    serde_json::from_slice(&output.stdout).expect("JSON")
}

const TWO_SITES: &str = "examples/port-inventory/two-sites.tsv";
const HAND_TYPED: &str = "examples/port-inventory/hand-typed.csv";

fn sound(folder: &Path) -> PathBuf {
    let path = folder.join("sound.csv");
    std::fs::write(&path, "site,port,far_site,far_port\nA,1/1,B,1/1\nB,1/1,A,1/1\n").expect("a file");
    path
}

#[test]
fn the_examples_are_summed_up() {
    let merged = "examples/port-inventory/merged-cells.csv";
    let map = "examples/port-inventory/merged-cells.columns.yml";
    let date = ["--date", "2026-03-01"];
    for (name, args) in [
        ("audit-hand-typed", vec![HAND_TYPED]),
        ("audit-merged-cells", vec![merged, "--columns", map]),
        ("audit-two-sites", vec![TWO_SITES]),
    ] {
        let output = run(&[args.as_slice(), &date].concat());
        insta::with_settings!({ prepend_module_to_snapshot => false }, {
            insta::assert_snapshot!(name, text(&output.stdout));
        });
    }
    let columns = run(&[HAND_TYPED, "--explain-columns"]);
    insta::with_settings!({ prepend_module_to_snapshot => false }, {
        insta::assert_snapshot!("audit-explain-columns", text(&columns.stdout));
    });
}

#[test]
fn the_exit_code_says_what_was_found() {
    let folder = tempfile::tempdir().expect("a folder");
    let sound = sound(folder.path());
    let sound = sound.to_str().expect("a name");
    assert_eq!(run(&[sound]).status.code(), Some(0));
    assert_eq!(run(&[TWO_SITES]).status.code(), Some(1));
    assert_eq!(run(&[TWO_SITES, "--select", "inventory.unit"]).status.code(), Some(0));
    assert_eq!(run(&["no-such-file.csv"]).status.code(), Some(2));
    let unknown = run(&[sound, "--select", "inventroy."]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(text(&unknown.stderr).contains("no rule's id begins with"), "{}", text(&unknown.stderr));
}

#[test]
fn a_missing_inventory_names_what_may_have_been_meant() {
    let folder = tempfile::tempdir().expect("a folder");
    sound(folder.path());
    let said = |name: &str| {
        let path = folder.path().join(name);
        let output = run(&[path.to_str().expect("a name")]);
        assert_eq!(output.status.code(), Some(2), "{name}");
        text(&output.stderr)
    };
    let near = said("sonud.csv");
    assert!(
        near.contains("no inventory of ports at") && near.contains("did you mean `sound.csv`"),
        "{near}"
    );
    let far = said("ports-of-march.csv");
    assert!(far.contains("that folder holds `sound.csv`"), "{far}");
    assert!(!far.contains("plan file"), "{far}");
}

#[test]
fn bad_input_is_named_with_its_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).expect("a file");
        path.to_str().expect("a name").to_string()
    };
    let mut open = b"site,port\nA,1\nB,\"2\n".to_vec();
    open.extend(std::iter::repeat_n(b'x', 5_000_000));
    let cases = [
        (write("open.csv", &open), "opened in line 3 and not closed"),
        (write("last.csv", b"site,port\nA,1\nB,\"2\nC,3\nD,4\n"), "opened in line 3 and not closed"),
        (write("heads.csv", b"one,two\n1,2\n"), "no line of"),
        (write("old.xls", b"\xD0\xCF\x11\xE0rest"), "old binary form"),
        (write("half.xlsx", b"PK\x03\x04half"), "cannot be read as a workbook"),
    ];
    for (path, message) in cases {
        let output = run(&[&path]);
        assert_eq!(output.status.code(), Some(2), "{path}");
        assert!(text(&output.stderr).contains(message), "{path}: {}", text(&output.stderr));
        assert!(output.stdout.is_empty(), "{path}");
    }
    let wide = format!("site,port,{}\nA,1\n", "x,".repeat(200_000));
    let more = [
        (write("wide.csv", wide.as_bytes()), "the heads in line 1 are longer than"),
        (write("heads-open.csv", b"site,\"port\nA,1\n"), "no line of"),
        (write("more-open.csv", b"site,port,\"note\nA,1\n"), "opened in line 1 and not closed"),
        (write("zero.csv", b"site,port\nA,1\nB,\x002\n"), "a zero byte in line 3"),
        (
            write("cut.csv.gz", b"\x1F\x8B\x08\0\0\0\0\0\0\x03\xAB"),
            "cannot be unpacked: it ends too early",
        ),
    ];
    for (path, message) in more {
        let output = run(&[&path]);
        assert_eq!(output.status.code(), Some(2), "{path}");
        assert!(text(&output.stderr).contains(message), "{path}: {}", text(&output.stderr));
    }
    let map = write("map.yaml", b"columns: { Office: sitee }\ncolums: {}\n");
    let output = run(&[TWO_SITES, "--columns", &map]);
    let said = text(&output.stderr);
    assert!(said.contains("did you mean `site`?") && said.contains("did you mean `columns`?"), "{said}");
}

#[test]
fn every_list_holds_the_same_findings() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = |name: &str| folder.path().join(name).to_str().expect("a name").to_string();
    let names = ["a.csv", "a.jsonl", "a.json", "a.sarif", "a.xlsx"].map(path);
    let outs: Vec<&str> = names.iter().flat_map(|name| ["--out", name.as_str()]).collect();
    let output = run(&[&[TWO_SITES], outs.as_slice()].concat());
    assert_eq!(output.status.code(), Some(1), "{}", text(&output.stderr));
    let read = |n: usize| std::fs::read(&names[n]).expect("a list");
    let document: Value = serde_json::from_slice(&read(2)).expect("JSON");
    let findings = document["findings"].as_array().expect("findings");
    let ids: Vec<&str> = findings.iter().map(|f| f["id"].as_str().expect("an id")).collect();
    let unique: std::collections::BTreeSet<&&str> = ids.iter().collect();
    assert_eq!(unique.len(), ids.len(), "ids are unique");
    let mut reader = csv::Reader::from_reader(std::io::Cursor::new(read(0)));
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    assert_eq!(rows.iter().map(|row| &row[0]).collect::<Vec<_>>(), ids);
    assert_eq!(text(&read(1)).lines().count(), ids.len());
    let sarif: Value = serde_json::from_slice(&read(3)).expect("JSON");
    assert_eq!(sarif["version"], "2.1.0");
    let results = sarif["runs"][0]["results"].as_array().expect("results");
    let rules = sarif["runs"][0]["tool"]["driver"]["rules"].as_array().expect("rules");
    assert_eq!(results.len(), ids.len());
    for result in results {
        let index = result["ruleIndex"].as_u64().expect("a number") as usize;
        assert_eq!(rules[index]["id"], result["ruleId"]);
    }
    let mut book: calamine::Xlsx<_> = calamine::open_workbook(&names[4]).expect("a workbook");
    let sheet = calamine::Reader::worksheet_range(&mut book, "findings").expect("the sheet");
    assert_eq!(sheet.height(), ids.len() + 1);
}

#[test]
fn equal_input_gives_equal_bytes() {
    let folder = tempfile::tempdir().expect("a folder");
    for ending in ["csv", "json", "xlsx", "sarif"] {
        let write = |n: usize, threads: &str| {
            let path = folder.path().join(format!("{n}.{ending}"));
            let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
            command
                .current_dir(root())
                .env("RAYON_NUM_THREADS", threads)
                .args(["audit", TWO_SITES, "--out"]);
            command.arg(&path).output().expect("the program runs");
            std::fs::read(path).expect("a list")
        };
        assert!(write(1, "1") == write(2, "2"), "{ending}");
    }
}

#[test]
fn only_changes_are_new() {
    let folder = tempfile::tempdir().expect("a folder");
    let last = folder.path().join("last.json");
    let last = last.to_str().expect("a name");
    run(&[TWO_SITES, "--out", last]);
    let same = json(&[TWO_SITES, "--since", last]);
    assert_eq!(same["since"]["new"], 0);
    assert_eq!(same["since"]["gone"].as_array().map(Vec::len), Some(0));
    let narrower = json(&[TWO_SITES, "--since", last, "--ignore", "inventory.circuit-differs"]);
    let gone = narrower["since"]["gone"].as_array().expect("a list");
    assert_eq!(gone.len(), 1);
    assert_eq!(gone[0]["rule"], "inventory.circuit-differs");
    let other = json(&[HAND_TYPED, "--since", last]);
    assert_eq!(other["since"]["unchanged"], 0);
}

#[test]
fn accepted_findings_come_back_when_their_day_has_passed() {
    let folder = tempfile::tempdir().expect("a folder");
    let all = json(&[TWO_SITES]);
    let errors: Vec<String> = all["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter(|finding| finding["severity"] == "error")
        .map(|finding| {
            format!("{},2026-06-30,known since the move,records", finding["id"].as_str().expect("an id"))
        })
        .collect();
    let accepted = folder.path().join("accepted.csv");
    let mended = "0123456789abcdef,2026-06-30,mended since,records";
    let lines = format!("id,until,reason,owner\n{}\n{mended}\n", errors.join("\n"));
    std::fs::write(&accepted, lines).expect("a file");
    let accepted = accepted.to_str().expect("a name");
    let on = |day: &str| run(&[TWO_SITES, "--accepted", accepted, "--date", day]);
    assert_eq!(on("2026-06-30").status.code(), Some(0));
    assert_eq!(on("2026-07-01").status.code(), Some(1));
    // The day is never taken from the clock.
    assert_eq!(run(&[TWO_SITES, "--accepted", accepted]).status.code(), Some(2));
    let counts = json(&[TWO_SITES, "--accepted", accepted, "--date", "2026-07-01"]);
    assert_eq!(counts["counts"]["acceptance_passed"], errors.len());
    assert_eq!(counts["counts"]["acceptance_unmet"], 1);
}

#[test]
fn severities_and_limits_can_be_set() {
    let folder = tempfile::tempdir().expect("a folder");
    let config = folder.path().join("audit.yaml");
    std::fs::write(
        &config,
        "severities: { inventory.circuit-differs: note }\nlimits: { meter: 0.1 dB }\n",
    )
    .expect("a file");
    let config = config.to_str().expect("a name");
    let found = json(&[TWO_SITES, "--config", config]);
    let of = |rule: &str| {
        let all = found["findings"].as_array().expect("findings");
        all.iter().filter(|f| f["rule"] == rule).map(|f| f["severity"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(of("inventory.circuit-differs"), ["note"]);
    let wrong = folder.path().join("wrong.yaml");
    std::fs::write(&wrong, "severities: { inventory.circuit-difers: note }\n").expect("a file");
    let output = run(&[TWO_SITES, "--config", wrong.to_str().expect("a name")]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("did you mean `inventory.circuit-differs`?"));
}

#[test]
fn standard_input_is_read() {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    let file = std::fs::File::open(root().join(TWO_SITES)).expect("the example");
    let output = command.args(["audit", "-", "--format", "jsonl"]).stdin(file).output().expect("runs");
    let named = run(&[TWO_SITES, "--format", "jsonl"]);
    let ids = |bytes: &[u8]| {
        let lines = text(bytes);
        let id = |line: &str| serde_json::from_str::<Value>(line).expect("JSON")["id"].clone();
        lines.lines().map(id).collect::<Vec<_>>()
    };
    assert_eq!(ids(&output.stdout), ids(&named.stdout));
}

#[test]
fn every_reinterpreted_cell_is_listed() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("cells.csv");
    run(&[HAND_TYPED, "--reinterpreted", path.to_str().expect("a name")]);
    let list = std::fs::read_to_string(&path).expect("the list");
    let counted: u64 = json(&[HAND_TYPED])["reinterpreted"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|turn| turn["cells"].as_u64().expect("a number"))
        .sum();
    let rows = csv::Reader::from_reader(list.as_bytes()).records().count() as u64;
    assert_eq!(rows, counted, "{list}");
    assert!(list.contains("restored as 1/1/3"), "{list}");
}

#[test]
fn a_plan_is_held_against_the_rows() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.yaml");
    let text_of_plan = "spanwright: 1\ntitle: two sites\nplaces:\n  rowan: { kind: central-office }\n  sedge: { kind: cabinet }\n\
        shelves:\n  rw: { place: rowan, slots: { 1: { ports: { 1: { optic: 10GBASE-LR }, 2: { optic: 10GBASE-LR }, 3: { optic: 10GBASE-LR } } } } }\n  \
        sg: { place: sedge, slots: { 1: { ports: { 1: { optic: 10GBASE-LR }, 2: { optic: 10GBASE-LR }, 3: { optic: 10GBASE-LR } } } } }\n\
        spans:\n  - { from: rw/1/1, to: sg/1/1, length: 4 km }\n  - { from: rw/1/2, to: sg/1/2, length: 4 km }\n  - { from: rw/1/3, to: sg/1/3, length: 4 km }\n";
    std::fs::write(&plan, text_of_plan).expect("a plan");
    let ports = folder.path().join("ports.csv");
    let rows = "site,port,module,far_site,far_port,tx,rx\n\
        ROWAN,1/1,10GBASE-LR,SEDGE,1/2,-2,-4\n\
        ROWAN,1/2,10GBASE-ER,SEDGE,1/2,-2,-4\n\
        SEDGE,1/1,10GBASE-LR,ROWAN,1/1,-2,-4\n\
        SEDGE,1/2,10GBASE-LR,ROWAN,1/2,-2,-14\n\
        ROWAN,1/9,10GBASE-LR,SEDGE,1/9,-2,-4\n";
    std::fs::write(&ports, rows).expect("rows");
    let found = json(&[ports.to_str().expect("a name"), "--plan", plan.to_str().expect("a name")]);
    let all = found["findings"].as_array().expect("findings");
    let at = |rule: &str| {
        let of = all.iter().filter(|f| f["rule"] == rule);
        of.map(|f| f["subject"].as_str().unwrap_or_default().to_string()).collect::<Vec<_>>()
    };
    assert_eq!(at("inventory.plan-optic-differs"), ["ROWAN 1/2"]);
    assert_eq!(at("inventory.plan-far-differs"), ["ROWAN 1/1"]);
    assert_eq!(at("inventory.plan-loss-differs"), ["SEDGE 1/2"]);
    assert_eq!(at("inventory.not-in-plan"), ["ROWAN 1/9"]);
    assert_eq!(at("inventory.planned-port-missing").len(), 2, "{all:?}");
}

#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_said() {
    let full = std::fs::OpenOptions::new().write(true).open("/dev/full").expect("a full device");
    let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    let output =
        command.current_dir(root()).args(["audit", TWO_SITES]).stdout(full).output().expect("runs");
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("writing the result"), "{}", text(&output.stderr));
}

#[test]
fn a_list_that_cannot_be_made_leaves_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let good = folder.path().join("good.csv");
    let good = good.to_str().expect("a name");
    let output = run(&[TWO_SITES, "--out", good, "--out", "no-such-folder/bad.csv"]);
    assert_eq!(output.status.code(), Some(2));
    assert_eq!(std::fs::read_dir(folder.path()).expect("the folder").count(), 0);
    let ending = run(&[TWO_SITES, "--out", "list.pdf"]);
    assert!(text(&ending.stderr).contains("expected an ending"), "{}", text(&ending.stderr));
}

/// A cell that a spreadsheet would compute is text in every list that a spreadsheet opens (common
/// practice against injected formulas: an apostrophe before `=`, `+`, `-`, `@`).
#[test]
fn no_list_holds_a_formula() {
    const ROWS: &str = "site,port,optic,far_site,far_port,serial,rx_dbm\n\
        =HYPERLINK(\"x\"),1/1,10GBASE-LR,@sum,1/1,+S1,\"-3,5\"\n\
        -A,1/1,10GBASE-SR,=B,1/2,=S1,\"-3,5 dBm\"\n\
        @C,1/1,10GBASE-LR,+D,1/2,=S1,\"-3,5\"\n";
    let folder = tempfile::tempdir().expect("a folder");
    let place = |name: &str| folder.path().join(name);
    std::fs::write(place("=ports.csv"), ROWS).expect("an inventory");
    let output = Command::new(env!("CARGO_BIN_EXE_spanwright"))
        .current_dir(folder.path())
        .args(["audit", "=ports.csv", "--reinterpreted", "cells.csv", "--out", "list.csv"])
        .args(["--out", "list.xlsx", "--format", "csv"])
        .output()
        .expect("a run");
    assert_ne!(output.status.code(), Some(2), "{}", text(&output.stderr));
    let computed = |cell: &str| cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
    let written = std::fs::read(place("list.csv")).expect("the list");
    let cells = std::fs::read(place("cells.csv")).expect("the cells");
    for (name, list, least) in
        [("terminal", &output.stdout, 6), ("list", &written, 6), ("cells", &cells, 6)]
    {
        let mut guarded = 0;
        for record in csv::Reader::from_reader(list.as_slice()).records() {
            for cell in &record.expect("a record") {
                assert!(!computed(cell), "{name}: {cell:?}");
                guarded += usize::from(cell.strip_prefix('\'').is_some_and(computed));
            }
        }
        assert!(guarded >= least, "{name}: {guarded} cells were guarded");
    }
    let mut book = calamine::open_workbook_auto(place("list.xlsx")).expect("a workbook");
    let mut guarded = 0;
    for name in calamine::Reader::sheet_names(&book) {
        let formulas = calamine::Reader::worksheet_formula(&mut book, &name).expect("a tab");
        assert!(formulas.used_cells().all(|(_, _, formula)| formula.is_empty()), "{name}");
        let range = calamine::Reader::worksheet_range(&mut book, &name).expect("a tab");
        for (_, _, cell) in range.used_cells() {
            let calamine::Data::String(cell) = cell else { continue };
            assert!(!computed(cell), "{name}: {cell:?}");
            guarded += usize::from(cell.strip_prefix('\'').is_some_and(computed));
        }
    }
    assert!(guarded >= 6, "workbook: {guarded} cells were guarded");
}
