//! An audit that is stopped, whose input is taken away, or whose output finds no room: no half list, no
//! hidden file, an exit code that says which.
//!
//! Unix only: the signals are sent with the system's `kill`.
#![cfg(unix)]

use std::fmt::Write as _;
use std::fs::{self, File, OpenOptions};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, ExitStatus, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// Rows of the large inventory.
const ROWS: usize = 200_000;
/// The longest that anything is waited for.
const LONGEST: Duration = Duration::from_mins(2);

/// An inventory with a fault in every row: the far end's site is covered and the port unknown.
fn large(folder: &Path) -> PathBuf {
    let mut text = String::from("site,port,module,far_site,far_port,note\n");
    for row in 0..ROWS {
        writeln!(text, "ALD,1/{row},10GBASE-LR,ALD,9/{row},temp move").expect("a text");
    }
    let path = folder.join("ports.csv");
    fs::write(&path, text).expect("a file");
    path
}

/// Folders for input and output.
fn folders() -> (tempfile::TempDir, tempfile::TempDir) {
    (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"))
}

fn audit(input: &Path, out: &[PathBuf]) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    command.arg("audit").arg(input);
    for path in out {
        command.arg("--out").arg(path);
    }
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// The hidden file of a list that is being written, once it holds at least so many bytes.
fn wait_for_hidden(folder: &Path, least: u64, child: &mut Child) {
    let begun = Instant::now();
    let is_there = || {
        let entries = fs::read_dir(folder).expect("the folder").filter_map(Result::ok);
        entries
            .filter(|entry| entry.file_name().to_string_lossy().starts_with(".spanwright-"))
            .any(|entry| entry.metadata().is_ok_and(|meta| meta.len() >= least))
    };
    while !is_there() {
        assert!(child.try_wait().expect("a state").is_none(), "it ended before the list was begun");
        assert!(begun.elapsed() < LONGEST, "no list was begun");
        sleep(Duration::from_millis(2));
    }
}

fn send(signal: &str, child: &Child) {
    let sent = Command::new("kill").args([format!("-{signal}"), child.id().to_string()]).status();
    assert!(sent.expect("the system's kill").success());
}

fn wait(child: Child) -> (ExitStatus, String) {
    let Output { status, stderr, .. } = child.wait_with_output().expect("an end");
    (status, String::from_utf8_lossy(&stderr).into_owned())
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("the folder").filter_map(Result::ok);
    entries.map(|entry| entry.file_name().to_string_lossy().into_owned()).collect()
}

/// Whether the tests themselves run with a signal ignored, as what a script starts in the background does:
/// the program inherits that, and keeps to it.
fn is_ignored(number: u32) -> bool {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let mask = status.lines().find_map(|line| line.strip_prefix("SigIgn:"));
    let mask = mask.and_then(|mask| u64::from_str_radix(mask.trim(), 16).ok());
    mask.is_some_and(|mask| mask & 1 << (number - 1) != 0)
}

/// Exit codes as shells give them: 128 and the number of the signal (POSIX, Shell Command Language,
/// 2.8.2 says more than 128; 128 and the number is common practice).
#[test]
fn a_signal_leaves_nothing_behind() {
    let (input, output) = folders();
    let ports = large(input.path());
    for (signal, code, least) in
        [("INT", 130_u32, 1), ("TERM", 143, 1), ("HUP", 129, 1), ("TERM", 143, 0)]
    {
        if is_ignored(code - 128) {
            eprintln!("skipped: {signal} is ignored here");
            continue;
        }
        let lists = ["list.jsonl", "list.csv", "list.xlsx"].map(|name| output.path().join(name));
        let mut child = audit(&ports, &lists).spawn().expect("the program starts");
        wait_for_hidden(output.path(), least, &mut child);
        send(signal, &child);
        let (status, said) = wait(child);
        assert_eq!(status.code(), Some(code as i32), "{signal}: {said}");
        assert!(said.contains("stopped"), "{signal}: {said}");
        assert_eq!(names(output.path()), Vec::<String>::new(), "{signal}");
    }
}

/// A list of an earlier run stays as it was.
#[test]
fn a_stopped_run_leaves_the_last_list_alone() {
    let (input, output) = folders();
    let ports = large(input.path());
    let list = output.path().join("list.jsonl");
    fs::write(&list, "the list of last week\n").expect("a file");
    let mut child = audit(&ports, std::slice::from_ref(&list)).spawn().expect("the program starts");
    wait_for_hidden(output.path(), 1, &mut child);
    send("TERM", &child);
    assert_eq!(wait(child).0.code(), Some(143));
    assert_eq!(names(output.path()), ["list.jsonl"]);
    assert_eq!(fs::read_to_string(&list).expect("the list"), "the list of last week\n");
}

/// What the caller had ignored stays ignored: a run that `nohup` guards is not ended by its terminal.
#[cfg(target_os = "linux")]
#[test]
fn an_ignored_signal_stays_ignored() {
    let (input, output) = folders();
    let ports = large(input.path());
    let list = output.path().join("list.jsonl");
    let mut command = Command::new("sh");
    command.args(["-c", "trap '' HUP; exec \"$0\" \"$@\""]);
    command.arg(env!("CARGO_BIN_EXE_spanwright")).arg("audit").arg(&ports).arg("--out").arg(&list);
    let quiet = command.stdout(Stdio::null()).stderr(Stdio::piped());
    let mut child = quiet.spawn().expect("the program starts");
    wait_for_hidden(output.path(), 1, &mut child);
    send("HUP", &child);
    let (status, said) = wait(child);
    assert_eq!(status.code(), Some(0), "{said}");
    assert_eq!(names(output.path()), ["list.jsonl"]);
}

/// Rows that findings speak of are read again: a file that has lost its second half meanwhile is told.
#[test]
fn input_that_is_taken_away_is_told() {
    let (input, output) = folders();
    let ports = large(input.path());
    let half = fs::metadata(&ports).expect("the inventory").len() / 2;
    let list = output.path().join("list.jsonl");
    let mut child = audit(&ports, &[list]).spawn().expect("the program starts");
    wait_for_hidden(output.path(), 1, &mut child);
    OpenOptions::new()
        .write(true)
        .open(&ports)
        .and_then(|file| file.set_len(half))
        .expect("half a file");
    let (status, said) = wait(child);
    assert_eq!(status.code(), Some(2), "{said}");
    assert!(said.contains("ports.csv") && said.contains("changed"), "{said}");
    assert_eq!(names(output.path()), Vec::<String>::new());
}

/// So is one that was written again: another row may stand where the finding's row stood.
#[test]
fn input_that_is_written_again_is_told() {
    let (input, output) = folders();
    let ports = large(input.path());
    let text = fs::read(&ports).expect("the inventory");
    let list = output.path().join("list.jsonl");
    let mut child = audit(&ports, &[list]).spawn().expect("the program starts");
    wait_for_hidden(output.path(), 1, &mut child);
    let mut file = OpenOptions::new().write(true).open(&ports).expect("the inventory");
    std::io::Write::write_all(&mut file, &text).expect("the same bytes");
    drop(file);
    let (status, said) = wait(child);
    assert_eq!(status.code(), Some(2), "{said}");
    assert!(said.contains("changed while it was read"), "{said}");
    assert_eq!(names(output.path()), Vec::<String>::new());
}

/// A small inventory with a finding.
fn small(folder: &Path) -> PathBuf {
    let path = folder.join("small.csv");
    fs::write(&path, "site,port,far_site,far_port\nALD,1/1,ALD,1/1\n").expect("a file");
    path
}

#[test]
fn a_folder_that_takes_no_file_is_told() {
    let (input, output) = folders();
    let ports = small(input.path());
    let file = output.path().join("a-file");
    fs::write(&file, "").expect("a file");
    let cases = [
        (output.path().join("none").join("list.csv"), "none` does not exist"),
        (file.join("list.csv"), "a-file` is a file, not a folder"),
    ];
    for (list, message) in cases {
        let (status, said) = wait(audit(&ports, &[list]).spawn().expect("the program starts"));
        assert_eq!(status.code(), Some(2), "{said}");
        assert!(said.contains("list.csv") && said.contains(message), "{said}");
    }
    assert_eq!(names(output.path()), ["a-file"]);
}

#[test]
fn a_folder_without_the_right_to_write_is_told() {
    use std::os::unix::fs::PermissionsExt;
    let (input, output) = folders();
    let closed = output.path().join("closed");
    fs::create_dir(&closed).expect("a folder");
    fs::set_permissions(&closed, fs::Permissions::from_mode(0o555)).expect("rights");
    if File::create(closed.join("probe")).is_ok() {
        eprintln!("skipped: this user may write everywhere");
        return;
    }
    let list = closed.join("list.csv");
    let (status, said) = wait(audit(&small(input.path()), &[list]).spawn().expect("the program starts"));
    assert_eq!(status.code(), Some(2), "{said}");
    assert!(said.contains("permission denied"), "{said}");
    assert_eq!(names(&closed), Vec::<String>::new());
}

/// `/dev/full` takes nothing: every write to it fails as on a full disk.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_is_told() {
    let (input, _output) = folders();
    let ports = small(input.path());
    for format in ["csv", "jsonl", "json", "sarif", "table"] {
        let full = OpenOptions::new().write(true).open("/dev/full").expect("a full device");
        let mut command = audit(&ports, &[]);
        let child = command.args(["--format", format]).stdout(full).spawn();
        let (status, said) = wait(child.expect("the program starts"));
        assert_eq!(status.code(), Some(2), "{format}: {said}");
        assert!(said.contains("writing the result") && said.contains("space"), "{format}: {said}");
        assert_eq!(said.lines().count(), 1, "{format}: {said}");
    }
}
