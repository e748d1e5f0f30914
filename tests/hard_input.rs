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

/// Runs an audit of a workbook; its exit code, what it said, and the most memory it held, in MB.
#[cfg(target_os = "linux")]
fn watched(file: &Path) -> (i32, String, u64) {
    use std::process::{Command, Stdio};
    let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    command.arg("audit").arg(file).stdout(Stdio::null()).stderr(Stdio::piped());
    let mut child = command.spawn().expect("it starts");
    let status = format!("/proc/{}/status", child.id());
    let (begun, mut most) = (Instant::now(), 0);
    while child.try_wait().expect("a state").is_none() {
        // The system keeps the most that was held, so that no moment is missed but the very last.
        let text = std::fs::read_to_string(&status).unwrap_or_default();
        let held = text.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let held = held.and_then(|held| held.trim().trim_end_matches(" kB").parse::<u64>().ok());
        most = most.max(held.unwrap_or(0) / 1000);
        if most > 2_000 || begun.elapsed() > Duration::from_mins(2) {
            child.kill().expect("ended");
        }
        std::thread::sleep(Duration::from_millis(1));
    }
    let output = child.wait_with_output().expect("an end");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    (output.status.code().unwrap_or(-1), said, most)
}

/// A workbook of one sheet with `site` and `port`; `cells` are the cells of the row below, `texts` what
/// sheets share.
#[cfg(target_os = "linux")]
fn workbook(path: &Path, cells: &[&str], texts: &[&str], times: usize) {
    use std::io::Write;
    use zip::write::{SimpleFileOptions, ZipWriter};
    const SHEETS: &str = "http://schemas.openxmlformats.org/spreadsheetml/2006/main";
    const OFFICE: &str = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const PACKAGE: &str = "http://schemas.openxmlformats.org/package/2006";
    let mut zip = ZipWriter::new(std::fs::File::create(path).expect("a file"));
    let options = SimpleFileOptions::default()
        .compression_method(zip::CompressionMethod::Deflated)
        .compression_level(Some(1));
    let mut part = |name: &str, pieces: &[&str], middle: &[&str], times: usize| {
        zip.start_file(name, options).expect("a part");
        zip.write_all(pieces[0].as_bytes()).expect("bytes");
        (0..times).flat_map(|_| middle).for_each(|text| zip.write_all(text.as_bytes()).expect("bytes"));
        zip.write_all(pieces[1].as_bytes()).expect("bytes");
    };
    let relation = |id: u8, kind: &str, target: &str| {
        format!(r#"<Relationship Id="rId{id}" Type="{OFFICE}/{kind}" Target="{target}"/>"#)
    };
    let relations = |inner: &str| {
        format!(r#"<Relationships xmlns="{PACKAGE}/relationships">{inner}</Relationships>"#)
    };
    let package = relations(&relation(1, "officeDocument", "xl/workbook.xml"));
    part("_rels/.rels", &[&package, ""], &[], 0);
    let inner = relation(1, "worksheet", "worksheets/sheet1.xml")
        + &relation(2, "sharedStrings", "sharedStrings.xml");
    part("xl/_rels/workbook.xml.rels", &[&relations(&inner), ""], &[], 0);
    let book = format!(
        r#"<workbook xmlns="{SHEETS}" xmlns:r="{OFFICE}"><sheets><sheet name="ports" sheetId="1"
            r:id="rId1"/></sheets></workbook>"#
    );
    part("xl/workbook.xml", &[&book, ""], &[], 0);
    let shared = format!(r#"<sst xmlns="{SHEETS}">"#);
    let repeated = if texts.is_empty() { 0 } else { times };
    part("xl/sharedStrings.xml", &[&(shared + "<si>"), "</si></sst>"], texts, repeated);
    let head = format!(
        r#"<worksheet xmlns="{SHEETS}"><sheetData><row r="1"><c r="A1" t="inlineStr"><is><t>site</t></is></c><c
            r="B1" t="inlineStr"><is><t>port</t></is></c></row><row r="2">"#
    );
    let repeated = if texts.is_empty() { times } else { 0 };
    let (before, after) = (cells[0], cells[1]);
    let ends = [head + before, format!("{after}</row></sheetData></worksheet>")];
    let piece = "x".repeat(1_000_000);
    part("xl/worksheets/sheet1.xml", &[&ends[0], &ends[1]], &[&piece], repeated);
    zip.finish().expect("a workbook");
}

/// Some hundred kB that unpack to one cell of 400 MB, in one piece and in pieces of 1 MB, in the sheet and
/// among the texts that sheets share.
#[cfg(target_os = "linux")]
#[test]
fn a_cell_of_hundreds_of_megabytes_is_refused_for_little() {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("cell.xlsx");
    let piece = format!("<r><t>{}</t></r>", "x".repeat(1_000_000));
    let whole = [r#"<c r="A2" t="inlineStr"><is><t>"#, "</t></is></c>"];
    let shared = [r#"<c r="A2" t="s"><v>0</v>"#, "</c>"];
    for (cells, texts) in [(whole, vec![]), (shared, vec![piece.as_str()])] {
        workbook(&path, &cells, &texts, 400);
        assert!(std::fs::metadata(&path).expect("a file").len() < 4_000_000);
        let (code, said, most) = watched(&path);
        assert_eq!(code, 2, "{said}");
        assert!(said.contains("a cell of more than"), "{said}");
        assert!(most < 200, "{most} MB");
    }
    workbook(&path, &shared, &["<t>ALD</t>"], 1);
    let (code, said, _) = watched(&path);
    assert!(code <= 1, "{said}");
}

/// A stray cell far out costs as much memory as the table.
#[cfg(target_os = "linux")]
#[test]
fn a_stray_cell_far_away_costs_no_memory() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/corpus/workbook");
    for entry in std::fs::read_dir(folder).expect("a folder") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|end| end == "xlsx") {
            let (code, said, most) = watched(&path);
            assert!((0..=1).contains(&code), "{}: {said}", path.display());
            assert!(most < 200, "{}: {most} MB", path.display());
        }
    }
}
