//! What becomes of results and messages when nobody reads them or the disk is full: no command panics, the
//! exit code stays the verdict's, and no text from a file or an argument reaches the terminal as a command.
//!
//! Unix only: `/dev/full` stands for a full disk.
#![cfg(unix)]

use std::fs::OpenOptions;
use std::path::Path;
use std::process::{Command, Output, Stdio};

const NO_GO: &str = "fit --cage SFP+ --optic 10GBASE-ER --far-optic 10GBASE-LR --length 40m";
const BAD_INVENTORY: &str = "audit examples/port-inventory/two-sites.tsv";
const PLAN: &str = "examples/first-shelf/plan.yaml";

/// Commands whose result goes to standard output: every command, every form.
fn results() -> Vec<String> {
    let mut all = vec![
        "schema".to_string(),
        "--help".to_string(),
        "--version".to_string(),
        "budget --help".to_string(),
        format!("report {PLAN}"),
        format!("map {PLAN}"),
        format!("{BAD_INVENTORY} --explain-columns"),
    ];
    for form in ["table", "json", "csv"] {
        let forms = [
            NO_GO.to_string(),
            "fit examples/first-shelf/plan.yaml".to_string(),
            "fit --cage SFP+ --optic 1000BASE-LX --length 1km".to_string(),
            format!("budget {PLAN}"),
            "path --optic 10GBASE-LR --length 8.4km".to_string(),
            "optic tests/module_memory/dumps/sfp_1000base_bx10u_dark.hex".to_string(),
            "optic --channel C21".to_string(),
            "tables".to_string(),
            "tables fibers".to_string(),
            "tables --trust".to_string(),
            "rules".to_string(),
            "rules plan.loop".to_string(),
        ];
        all.extend(forms.map(|command| format!("{command} --format {form}")));
    }
    for form in ["table", "json", "jsonl", "csv", "sarif"] {
        all.push(format!("{BAD_INVENTORY} --format {form}"));
    }
    for form in ["table", "json", "markdown"] {
        all.push(format!("diff {PLAN} {PLAN} --format {form}"));
    }
    all
}

/// Commands that write files and say so.
fn writers(folder: &Path) -> Vec<String> {
    let at = |name: &str| folder.join(name).display().to_string();
    vec![
        format!("report {PLAN} -o {}", at("page.html")),
        format!("map {PLAN} -o {}", at("map.geojson")),
        format!("schedule {PLAN} -o {}", at("sheets")),
        format!("schedule {PLAN} -o {}", at("sheets.xlsx")),
        format!("init {}", at("plan.yaml")),
    ]
}

/// Commands that refuse their input.
fn refused() -> Vec<&'static str> {
    vec![
        "budget nowhere.yaml",
        "path --length 3km",
        "fit nowhere.yaml",
        "fit",
        "audit nowhere.csv",
        "optic nowhere.hex",
        "tables nothing",
        "rules nothing",
        "init Cargo.toml",
        "diff nowhere.yaml nowhere.yaml",
        "map nowhere.yaml",
        "report nowhere.yaml",
        "report examples/first-shelf/plan.yaml -o nowhere/page.html",
        "schedule nowhere.yaml -o sheets",
        "budget --no-such-option",
    ]
}

fn command(words: &str) -> Command {
    let mut command = program();
    command.args(words.split(' '));
    command
}

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1");
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// The writing end of a pipe that nobody reads.
fn closed_pipe() -> Stdio {
    let (reader, writer) = std::io::pipe().expect("a pipe");
    drop(reader);
    writer.into()
}

fn full_disk() -> Stdio {
    OpenOptions::new().write(true).open("/dev/full").expect("the full device").into()
}

fn code(output: &Output) -> i32 {
    output.status.code().unwrap_or_else(|| panic!("{output:?}"))
}

fn said(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

#[test]
fn a_verdict_outlives_its_reader() {
    let mut codes = [0; 4];
    for words in results() {
        let read = command(&words).output().expect("it runs");
        let unread = command(&words).stdout(closed_pipe()).output().expect("it runs");
        assert_eq!(code(&unread), code(&read), "{words}: {}", said(&unread));
        assert_eq!(said(&unread), said(&read), "{words}");
        codes[code(&read) as usize] += 1;
    }
    // The list holds results of every kind but bad input.
    assert!(codes[0] > 0 && codes[1] > 0 && codes[2] == 0 && codes[3] > 0, "{codes:?}");
}

/// Large results, whose reader stops after a line.
#[test]
fn a_verdict_outlives_a_reader_that_reads_a_little() {
    use std::io::Read;
    let folder = tempfile::tempdir().expect("a folder");
    let ports = folder.path().join("ports.csv");
    let pair = |n| format!("ALD,1/{n},10GBASE-LR,BRI,1/{n}\nBRI,1/{n},10GBASE-SR,ALD,1/{n}\n");
    let rows = (0..2_500).map(pair).collect::<String>();
    std::fs::write(&ports, format!("site,port,module,far_site,far_port\n{rows}")).expect("a file");
    for form in ["json", "jsonl", "csv", "sarif"] {
        let words = format!("audit {} --format {form}", ports.display());
        let mut child = command(&words).spawn().expect("it starts");
        let mut out = child.stdout.take().expect("a pipe");
        out.read_exact(&mut [0; 100]).expect("the beginning");
        drop(out);
        let output = child.wait_with_output().expect("an end");
        assert_eq!(code(&output), 1, "{words}: {}", said(&output));
    }
}

#[test]
fn a_full_disk_is_told() {
    for words in results() {
        let output = command(&words).stdout(full_disk()).output().expect("it runs");
        assert_eq!(code(&output), 2, "{words}: {}", said(&output));
        let told = said(&output);
        assert!(told.contains("standard output") && told.contains("No space left"), "{words}: {told}");
    }
}

/// The file stands there whole; only the word of it was not heard.
#[test]
fn what_is_written_outlives_its_reader() {
    for full in [false, true] {
        let (read, unread) =
            (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
        for (usual, words) in writers(read.path()).iter().zip(writers(unread.path())) {
            let usual = command(usual).output().expect("it runs");
            let out = if full { full_disk() } else { closed_pipe() };
            let output = command(&words).stdout(out).output().expect("it runs");
            let expected = if full { 2 } else { code(&usual) };
            assert_eq!(code(&output), expected, "{words}: {}", said(&output));
        }
        let names = |folder: &Path| {
            let entries = std::fs::read_dir(folder).expect("the folder").filter_map(Result::ok);
            let mut names: Vec<_> = entries.map(|entry| entry.file_name()).collect();
            names.sort();
            names
        };
        assert_eq!(names(read.path()), names(unread.path()));
    }
}

#[test]
fn bad_input_is_bad_input_although_nobody_hears_why() {
    for words in refused() {
        for err in [closed_pipe(), full_disk()] {
            let output = command(words).stderr(err).output().expect("it runs");
            assert_eq!(code(&output), 2, "{words}");
        }
    }
}

/// ESC begins a terminal's commands, U+009B is its one-character form.
#[test]
fn no_argument_and_no_name_commands_the_terminal() {
    let folder = tempfile::tempdir().expect("a folder");
    let at = |name: &str| folder.path().join(name);
    let rows = "site,port,module,note\nVTC,1/1,10GBASE-LR\u{1b}[2J,=\u{9b}2J\n\
                VTC,1/1,10GBASE-SR\u{1b}]0;owned\u{7},x\n";
    std::fs::write(at("ports\u{1b}[31m.csv"), rows).expect("a file");
    let evil = "x\u{1b}[31m\u{9b}32m";
    let (ports, page) = (at("ports\u{1b}[31m.csv"), at("page\u{1b}[31m.html"));
    let ports = ports.to_str().expect("a name");
    let lines: Vec<Vec<&str>> = vec![
        vec!["rules", evil],
        vec!["tables", evil],
        vec!["budget", PLAN, "--end", evil],
        vec!["fit", "examples/first-shelf/plan.yaml", "--port", evil],
        vec!["fit", "--cage", evil, "--optic", evil, "--length", "1km"],
        vec!["budget", evil],
        vec!["budget", PLAN, "--format", evil],
        vec!["path", "--length", evil, "--optic", "10GBASE-LR"],
        vec![evil],
        vec!["schedule", PLAN, "-o", "target/tmp/never", "--cable-template", evil],
        vec!["init", evil, "--from", evil],
        vec!["report", PLAN, "-o", page.to_str().expect("a name")],
        vec!["audit", ports],
        vec!["audit", ports, "--explain-columns"],
        vec!["audit", ports, "--format", "csv"],
        vec!["audit", ports, "--format", "json"],
        vec!["audit", ports, "--format", "jsonl"],
        vec!["audit", ports, "--format", "sarif"],
        vec!["audit", ports, "--select", evil],
        vec!["audit", ports, "--out", evil],
    ];
    for words in lines {
        let output = program().args(&words).output().expect("it runs");
        for text in [&output.stdout, &output.stderr] {
            let text = String::from_utf8_lossy(text);
            let bad = text.chars().find(|c| c.is_control() && !matches!(c, '\n' | '\t' | '\r'));
            assert!(bad.is_none(), "{words:?}: {bad:?} in {text}");
        }
    }
}
