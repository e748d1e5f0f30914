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

/// A folder with some files of rows.
fn files(texts: &[&str]) -> (tempfile::TempDir, Vec<String>) {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |(n, text): (usize, &&str)| {
        let path = folder.path().join(format!("part-{n}.csv"));
        std::fs::write(&path, text).expect("a file");
        path.display().to_string()
    };
    let paths = texts.iter().enumerate().map(write).collect();
    (folder, paths)
}

/// An inventory is read from where a result would go: nothing is written, nothing is lost.
#[test]
fn a_result_never_takes_the_place_of_an_input() {
    let text_of_rows = "site,port,far_site,far_port\nA,1/1,A,1/1\n";
    let (folder, paths) = files(&[text_of_rows]);
    let (ports, list) = (paths[0].as_str(), folder.path().join("list.csv"));
    let list = list.display().to_string();
    let dotted = folder.path().join(".").join("part-0.csv").display().to_string();
    for args in [
        vec![ports, "--out", ports],
        vec![ports, "--out", dotted.as_str()],
        vec![ports, "--reinterpreted", ports],
        vec![ports, "--out", list.as_str(), "--out", list.as_str()],
        vec![ports, "--out", list.as_str(), "--reinterpreted", list.as_str()],
    ] {
        let output = run(&args);
        assert_eq!(output.status.code(), Some(2), "{args:?}");
        assert!(text(&output.stderr).contains("a name of its own"), "{}", text(&output.stderr));
        assert_eq!(std::fs::read_to_string(ports).expect("the rows"), text_of_rows);
        assert!(!Path::new(&list).exists());
    }
}

/// What a file has no column for is not checked in its rows, whatever another file has.
#[test]
fn a_file_is_not_blamed_for_columns_that_it_lacks() {
    let (_folder, paths) = files(&[
        "site,port,module,serial,status,circuit,far_site,far_port\n\
         A,1/1,10GBASE-LR,S1,in service,C1,B,1/1\n",
        "site,port,module,status\nB,1/1,10GBASE-LR,in service\nB,1/2,10GBASE-LR,in service\n",
    ]);
    for order in [[0, 1], [1, 0]] {
        let said = json(&[paths[order[0]].as_str(), paths[order[1]].as_str()]);
        assert_eq!(said["findings"], serde_json::json!([]), "{order:?}");
        let missing = said["not_checked"].as_array().expect("a list").iter();
        let serial = missing.clone().find(|one| one["rule"] == "inventory.module-without-serial");
        assert_eq!(serial.expect("the rule")["rows"], 2);
    }
}

/// The same two rows in either order have the same findings with the same ids.
#[test]
fn ids_do_not_depend_on_the_order_of_the_rows() {
    let rows = ["A,1/1,S1,F7,J1,B,9/9", "C,1/1,S1,F7,J1,B,9/9", "C,1/2,S2,F7,J1,,", "B,9/9,S3,,,,"];
    let heads = "site,port,serial,frame_port,jumper,far_site,far_port";
    let forward = format!("{heads}\n{}\n", rows.join("\n"));
    let backward = format!("{heads}\n{}\n", rows.iter().rev().copied().collect::<Vec<_>>().join("\n"));
    let (_folder, paths) = files(&[&forward, &backward]);
    let ids = |path: &String| {
        let said = json(&[path.as_str()]);
        let findings = said["findings"].as_array().expect("a list").clone();
        let mut ids: Vec<String> =
            findings.iter().map(|one| format!("{} {}", one["id"], one["subject"])).collect();
        ids.sort();
        ids
    };
    assert!(ids(&paths[0]).len() >= 4, "{:?}", ids(&paths[0]));
    assert_eq!(ids(&paths[0]), ids(&paths[1]));
}

/// Equal cells under unlike heads are unlike words, in whatever order the files come.
#[test]
fn words_of_one_file_are_not_those_of_another() {
    let (_folder, paths) = files(&[
        "site,port,module,serial\nALD,1/1/1,10GBASE-LR,S1\n",
        "site,port,planned_module,serial\nBRN,2/1/1,10GBASE-LR,\n",
        "site,port,module,serial\nCRE,3/1/1,10GBASE-LR,\n",
    ]);
    for order in [[0, 1, 2], [2, 1, 0], [1, 2, 0]] {
        let args: Vec<&str> = order.iter().map(|n| paths[*n].as_str()).collect();
        let said = json(&args);
        let findings = said["findings"].as_array().expect("a list").iter();
        let of = |one: &Value| (one["rule"].to_string(), one["subject"].to_string());
        let found: Vec<(String, String)> = findings.map(of).collect();
        let serial = ("\"inventory.module-without-serial\"", "\"CRE 3/1/1\"");
        assert_eq!(found, [(serial.0.to_string(), serial.1.to_string())], "{order:?}");
    }
}

/// A workbook with sheets of rows.
fn workbook(path: &Path, sheets: &[(&str, &[[&str; 4]])]) {
    let mut book = rust_xlsxwriter::Workbook::new();
    for (name, rows) in sheets {
        let sheet = book.add_worksheet().set_name(*name).expect("a name");
        for (r, row) in rows.iter().enumerate() {
            for (c, cell) in row.iter().enumerate() {
                sheet.write(r as u32, c as u16, *cell).expect("a cell");
            }
        }
    }
    book.save(path).expect("a workbook");
}

#[test]
fn what_is_left_out_is_said() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("book.xlsx");
    let rows: &[[&str; 4]] =
        &[["site", "port", "far_site", "Port"], ["A", "1/1", "B", "1/1"], ["B", "1/1", "A", "1/1"]];
    let notes: &[[&str; 4]] = &[["printed", "by", "hand", ""]];
    workbook(&path, &[("Notes", notes), ("Ports", rows), ("Blank", &[])]);
    let book = path.to_str().expect("a name");
    let said = text(&run(&[book, book]).stdout);
    for expected in [
        "sheet Notes left out: no known heads",
        "sheet Blank left out: it is empty",
        "book.xlsx left out: it is given twice, and read once",
        "head `Port` in cell 4 of",
        "`port` is read as port already",
    ] {
        assert!(said.contains(expected), "{expected}: {said}");
    }
    let found = json(&[book, book]);
    assert_eq!(found["left_out"].as_array().map(Vec::len), Some(3));
    assert_eq!(found["left_out"][0]["why"], "no known heads");
    assert_eq!(found["heads_not_used"][0]["column"], "port");
    assert_eq!(
        (&found["heads_not_used"][0]["cell"], &found["rows"]),
        (&Value::from(4), &Value::from(2))
    );
    let columns = text(&run(&[book, "--explain-columns"]).stdout);
    assert!(columns.contains("heads in line 1, workbook\n"), "{columns}");
    assert!(columns.contains("port is read from `port`"), "{columns}");
    assert!(columns.contains("sheet Notes left out: no known heads"), "{columns}");
    let empty = folder.path().join("empty.xlsx");
    workbook(&empty, &[("Blank", &[])]);
    let output = run(&[empty.to_str().expect("a name")]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("is empty"), "{}", text(&output.stderr));
}

#[test]
fn a_map_that_does_nothing_is_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let ports = folder.path().join("ports.csv");
    std::fs::write(&ports, "site,port,Level in,Input\nA,1/1,-7,-7\n").expect("rows");
    let ports = ports.to_str().expect("a name");
    let said = |map: &str| {
        let path = folder.path().join("map.yaml");
        std::fs::write(&path, map).expect("a map");
        let output = run(&[ports, "--columns", path.to_str().expect("a name")]);
        (output.status.code(), text(&output.stderr))
    };
    for (map, expected) in [
        ("columns: { Levl in: rx }\n", "did you mean `Level in`?"),
        ("columns:\n  Level in: rx\n  Input: rx\n", "map.yaml:3:3"),
        ("units: { rx: parsec }\n", "expected dBm, mW, uW"),
        ("units: { jumper_length: dB }\n", "expected km, m, ft"),
        ("units: { module: ft }\n", "`module` has no unit"),
        ("columns: { Input: nonsense }\n", "expected site, bay, shelf"),
    ] {
        let (code, message) = said(map);
        assert_eq!(code, Some(2), "{map}: {message}");
        assert!(message.contains(expected), "{map}: {message}");
    }
    let (code, message) = said("columns: { Level in: rx, Input: ignore }\nunits: { rx: µW }\n");
    assert_ne!(code, Some(2), "{message}");
}

#[test]
fn heads_without_rows_are_said_so() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("heads.csv");
    std::fs::write(&path, "site,port,rx\n").expect("heads");
    let said = text(&run(&[path.to_str().expect("a name")]).stdout);
    assert!(said.contains("no rows") && !said.contains("(0 rows)"), "{said}");
}

/// Absent columns stay absent in rows of more cells than heads are likely to be.
#[test]
fn a_row_of_very_many_cells_fills_no_absent_column() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("wide.csv");
    let row = |cells: usize| format!("A,1/1{}\n", ",9".repeat(cells));
    std::fs::write(&path, format!("site,port\n{}", row(70_000))).expect("rows");
    let found = json(&[path.to_str().expect("a name")]);
    let rules: Vec<&str> = found["findings"]
        .as_array()
        .expect("findings")
        .iter()
        .filter_map(|finding| finding["rule"].as_str())
        .collect();
    assert_eq!(rules, ["inventory.ragged-row"]);
}

#[test]
fn an_earlier_run_and_accepted_findings_are_read_or_told() {
    let folder = tempfile::tempdir().expect("a folder");
    let write = |name: &str, bytes: &[u8]| {
        let path = folder.path().join(name);
        std::fs::write(&path, bytes).expect("a file");
        path.to_str().expect("a name").to_string()
    };
    for bytes in [b"id,rule\n1,\xE9\n".as_slice(), b"\xE9\n"] {
        let since = write("since.csv", bytes);
        let output = run(&[TWO_SITES, "--since", &since]);
        assert_eq!(output.status.code(), Some(2));
        let said = text(&output.stderr);
        assert!(said.contains("expected JSON") && said.contains("of an earlier run"), "{said}");
    }
    let semicolons =
        write("accepted.csv", b"id;until;reason;owner\nx;2026-06-30;known, since May;records\n");
    let accepted = ["--accepted", &semicolons, "--date", "2026-03-01"];
    assert_eq!(run(&[&[TWO_SITES], accepted.as_slice()].concat()).status.code(), Some(1));
    let ragged = write("ragged.csv", b"id,until,reason,owner\nx,2026-06-30,known, since May,records\n");
    let said = text(&run(&[TWO_SITES, "--accepted", &ragged, "--date", "2026-03-01"]).stderr);
    assert!(said.contains("5 cells under 4 heads") && said.contains("ragged.csv:2"), "{said}");
}
