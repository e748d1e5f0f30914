//! Input that an everyday slip or an unkind hand makes: a stray cell far down a sheet, a pipe in place of a
//! file, a path out of the plan's folder.

use std::path::Path;
use std::time::{Duration, Instant};

use assert_cmd::Command;

fn run(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(args);
    let output = command.timeout(Duration::from_mins(2)).output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    let code = output.status.code().unwrap_or_else(|| panic!("{args:?} was killed"));
    (code, text(output.stdout), text(output.stderr))
}

fn shown(path: &Path) -> &str {
    path.to_str().expect("a name")
}

/// One cell far from the table costs next to nothing, and the table is read.
#[test]
fn a_stray_cell_far_away_is_told_and_costs_nothing() {
    for name in ["far-XFD1", "far-E1048576", "far-Z1048576", "far-XFD100000", "far-XFD1048576", "note"] {
        let file = format!("fuzz/corpus/workbook/{name}.xlsx");
        let begun = Instant::now();
        let (code, out, said) = run(&["audit", &file, "--format", "json"]);
        // Many times what it takes; a dense sheet would take minutes, or all memory.
        assert!(begun.elapsed() < Duration::from_secs(20), "{name}: {:?}", begun.elapsed());
        assert!(code <= 1, "{name}: {said}");
        let result: serde_json::Value = serde_json::from_str(&out).expect("JSON");
        let told = result["left_out"].to_string();
        let far_column = name.contains("XFD");
        assert_eq!(told.contains("lies far from the table"), far_column, "{name}: {told}");
        if far_column {
            let cell = name.trim_start_matches("far-");
            assert!(told.contains(&format!("cell {cell}")), "{name}: {told}");
        }
    }
}

/// The result of a plain sheet is that of the same rows as CSV.
#[test]
fn a_styled_and_a_wrongly_measured_sheet_are_read() {
    for name in ["styled", "dim"] {
        let (code, out, said) =
            run(&["audit", &format!("fuzz/corpus/workbook/{name}.xlsx"), "--format", "json"]);
        assert_eq!(code, 0, "{name}: {said}");
        let result: serde_json::Value = serde_json::from_str(&out).expect("JSON");
        assert_eq!(result["rows"], 2, "{name}: {out}");
    }
}

const WITH_TABLE: &str = "spanwright: 1\nplaces: {a: {}}\nspans: [{table: ROWS}]\n";

fn plan(folder: &Path, rows: &str) -> String {
    let path = folder.join("plan.yaml");
    std::fs::write(&path, WITH_TABLE.replace("ROWS", rows)).expect("a file");
    shown(&path).to_string()
}

#[cfg(unix)]
#[test]
fn a_pipe_is_no_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let pipe = folder.path().join("rows.csv");
    let made = std::process::Command::new("mkfifo").arg(&pipe).status().expect("the system's mkfifo");
    assert!(made.success());
    let (code, _, said) = run(&["budget", &plan(folder.path(), "rows.csv")]);
    assert_eq!(code, 2);
    assert!(said.contains("is a pipe or a device"), "{said}");
    let tables = folder.path().join("tables");
    std::fs::create_dir(&tables).expect("a folder");
    std::fs::rename(&pipe, tables.join("fibers.csv")).expect("moved");
    let (code, _, said) = run(&["tables", "--tables", shown(&tables)]);
    assert_eq!(code, 2);
    assert!(said.contains("is a pipe or a device"), "{said}");
}

#[cfg(unix)]
#[test]
fn a_confined_plan_stays_in_its_folder() {
    let folder = tempfile::tempdir().expect("a folder");
    let (inner, secret) = (folder.path().join("plans"), folder.path().join("secret.csv"));
    std::fs::create_dir(&inner).expect("a folder");
    std::fs::write(&secret, "the secret line\n").expect("a file");
    std::fs::write(inner.join("own.csv"), "the own line\n").expect("a file");
    std::os::unix::fs::symlink(&secret, inner.join("link.csv")).expect("a link");
    for rows in ["../secret.csv", shown(&secret), "link.csv", "../nothing.csv"] {
        let plan = plan(&inner, rows);
        let (code, _, said) = run(&["budget", &plan, "--confine"]);
        assert_eq!(code, 2, "{rows}");
        assert!(
            said.contains("outside of the plan's folder") && !said.contains("secret line"),
            "{said}"
        );
        let (_, _, said) = run(&["budget", &plan]);
        assert!(!said.contains("outside of the plan's folder"), "{said}");
    }
    let (_, _, said) = run(&["budget", &plan(&inner, "own.csv"), "--confine"]);
    assert!(said.contains("own line") && !said.contains("outside"), "{said}");
    let path = inner.join("tables.yaml");
    std::fs::write(&path, "spanwright: 1\ntables: ..\nplaces: {a: {}}\n").expect("a file");
    let (code, _, said) = run(&["budget", shown(&path), "--confine"]);
    assert_eq!(code, 2);
    assert!(said.contains("outside of the plan's folder") && !said.contains("secret"), "{said}");
}

#[test]
fn an_empty_path_is_told_as_one() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("plan.yaml");
    std::fs::write(&path, "spanwright: 1\ntables: ''\nplaces: {a: {}}\n").expect("a file");
    let (code, _, said) = run(&["budget", shown(&path)]);
    assert_eq!(code, 2);
    assert!(said.contains("an empty text names no file or folder"), "{said}");
}

/// The skeleton of a network loads, whatever lengths the network states.
#[test]
fn a_skeleton_loads_whatever_length_is_stated() {
    let folder = tempfile::tempdir().expect("a folder");
    let (from, plan) = (folder.path().join("network.json"), folder.path().join("plan.yaml"));
    for length in ["20001", "1e308"] {
        let text = format!(
            r#"{{"networks": [{{"id": "n", "nodes": [{{"id": "1"}}, {{"id": "2"}}],
                "spans": [{{"id": "x", "start": "1", "end": "2", "fibreLength": {length}}}]}}]}}"#
        );
        std::fs::write(&from, text).expect("a file");
        let (code, _, said) = run(&["init", shown(&plan), "--from", shown(&from)]);
        assert_eq!(code, 0, "{said}");
        let reading = spanwright::read::plan::load(&plan, &[]);
        assert!(!reading.is_bad_input(), "{length}: {:?}", reading.findings);
        std::fs::remove_file(&plan).expect("gone");
    }
}

#[test]
fn any_number_of_threads_may_be_asked_for() {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("RAYON_NUM_THREADS", "100000");
    let asked = command.args(["budget", "examples/first-shelf/plan.yaml"]);
    let output = asked.timeout(Duration::from_mins(2)).output().expect("it runs");
    assert!(output.status.code().is_some_and(|code| code <= 1), "{output:?}");
}

#[cfg(unix)]
#[test]
fn a_missing_temporary_folder_is_named() {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("TMPDIR", "/nowhere/at/all");
    let output = command.args(["audit", "fuzz/corpus/workbook/dim.xlsx"]).output().expect("it runs");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert_eq!(output.status.code(), Some(2), "{said}");
    assert!(said.contains("/nowhere/at/all") && said.contains("TMPDIR"), "{said}");
}
