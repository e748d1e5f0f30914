//! `spanwright audit` over several files, workbooks, maps and lists of accepted findings: what is read,
//! what is left out and said, and what is refused.

use std::path::Path;
use std::process::{Command, Output};

use serde_json::Value;

const TWO_SITES: &str = "examples/port-inventory/two-sites.tsv";

fn run(args: &[&str]) -> Output {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env_remove("NO_COLOR").env("COLUMNS", "100");
    command.arg("audit").args(args).output().expect("the program runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn json(args: &[&str]) -> Value {
    let output = run(&[args, &["--format", "json"]].concat());
    serde_json::from_slice(&output.stdout).expect("JSON")
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

/// What was not judged is said: a column without a value, and modules that are no optics.
#[test]
fn what_says_nothing_is_not_taken_for_sound() {
    let (_folder, paths) =
        files(&["site,port,module,oper_state,rx\nALD,1/1,1000BASE-T,up,\nALD,1/2,10GBASE-LR,up,\n"]);
    let said = json(&[paths[0].as_str()]);
    assert_eq!(said["findings"], serde_json::json!([]));
    let not_checked = said["not_checked"].as_array().expect("a list");
    let rows = |rule: &str, words: &str| {
        let of = |one: &&Value| one["rule"] == rule && one["missing"].to_string().contains(words);
        not_checked.iter().find(of).map(|one| one["rows"].clone())
    };
    let empty = rows("inventory.receive-under-least", "any value in column rx");
    assert_eq!(empty, Some(Value::from(2)), "{not_checked:#?}");
    let copper = rows("inventory.unknown-optic", "copper");
    assert_eq!(copper, Some(Value::from(1)), "{not_checked:#?}");
}
