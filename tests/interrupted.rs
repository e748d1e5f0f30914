//! Commands that write files, ended at any moment: a file is the whole one of this run, the whole one of
//! the run before, or not there; sheets of one folder are of one plan; no hidden file stays.
//!
//! Unix only: the signals are sent with the system's `kill`, limits are set with `ulimit`.
#![cfg(unix)]

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// Moments at which each command is ended by each signal.
const MOMENTS: usize = 4;
const HIDDEN: &str = ".spanwright-";

/// Files by name.
type Files = BTreeMap<String, Vec<u8>>;

/// A command under test: words before the file or folder that it writes, and that file's name.
struct Writer {
    words: Vec<String>,
    out: &'static str,
}

/// A plan that takes a moment, and a network of as many points; `revision` tells two states apart.
fn inputs(folder: &Path, revision: &str) -> (PathBuf, PathBuf) {
    let text = format!(
        "spanwright: 1
title: Plan to be written
revision: {revision}
places: {{office: {{kind: central-office}}, cab: {{kind: cabinet}}}}
defaults: {{fiber: G.652.D, connector: {{grade: C, polish: APC}}, joint: splice}}
shelves:
  olt: {{place: office, ports: {{\"[1-6]\": {{optic: GPON-OLT-B+}}}}}}
splitters:
  \"s-[1-6]\": {{ratio: 1x16, place: cab}}
onts:
  \"h-[1-96]\": {{optic: GPON-ONU-B+}}
spans:
  - {{from: \"olt/[1-6]\", to: \"s-[1-6]/in\", length: 3 km, kind: cable}}
  - {{from: \"s-[1-6]/[1-16]\", to: \"h-[1-96]\", length: 80 m, kind: drop}}
"
    );
    let plan = folder.join(format!("plan-{revision}.yaml"));
    fs::write(&plan, text).expect("a file");
    let nodes: Vec<String> = (0..2000).map(|id| format!(r#"{{"id": "n-{id}"}}"#)).collect();
    let spans: Vec<String> = (1..2000)
        .map(|id| format!(r#"{{"id": "x-{id}", "start": "n-{}", "end": "n-{id}"}}"#, id - 1))
        .collect();
    let network = folder.join("network.json");
    let text = format!(
        r#"{{"networks": [{{"id": "n", "nodes": [{}], "spans": [{}]}}]}}"#,
        nodes.join(","),
        spans.join(",")
    );
    fs::write(&network, text).expect("a file");
    (plan, network)
}

fn writers(plan: &Path, network: &Path) -> Vec<Writer> {
    let (plan, network) = (plan.display().to_string(), network.display().to_string());
    let writer = |words: &[&str], out| Writer {
        words: words.iter().map(|word| (*word).to_string()).collect(),
        out,
    };
    vec![
        writer(&["schedule", &plan, "-o"], "sheets"),
        writer(&["schedule", &plan, "-o"], "sheets.xlsx"),
        writer(&["report", &plan, "-o"], "page.html"),
        writer(&["map", &plan, "-o"], "map.geojson"),
        writer(&["init", "--from", &network], "skeleton.yaml"),
    ]
}

impl Writer {
    fn command(&self, folder: &Path) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_spanwright"));
        command.args(&self.words).arg(folder.join(self.out));
        command.stdout(Stdio::piped()).stderr(Stdio::piped());
        command
    }

    /// Runs it to its end; what it wrote, and how long it took.
    fn whole(&self, folder: &Path) -> (Files, Duration) {
        let begun = Instant::now();
        let Output { status, stderr, .. } = self.command(folder).output().expect("it runs");
        let taken = begun.elapsed();
        let said = String::from_utf8_lossy(&stderr);
        assert!(status.code().is_some_and(|code| code <= 1), "{}: {said}", self.words[0]);
        let files = files(folder);
        assert!(!files.is_empty() && hidden(&files).is_empty(), "{}", self.words[0]);
        (files, taken)
    }
}

/// Every file below a folder.
fn files(folder: &Path) -> Files {
    let mut found = Files::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(inner) = open.pop() {
        for entry in fs::read_dir(&inner).expect("a folder") {
            let path = entry.expect("an entry").path();
            if path.is_dir() {
                open.push(path);
                continue;
            }
            let name = path.strip_prefix(folder).expect("a path within").display().to_string();
            found.insert(name, fs::read(&path).expect("a file"));
        }
    }
    found
}

fn hidden(files: &Files) -> Vec<&String> {
    files.keys().filter(|name| name.contains(HIDDEN)).collect()
}

/// Moments within a run and a little beyond it, from the seed.
fn moments(taken: Duration, seed: u64) -> Vec<Duration> {
    let mut random = Pcg64::seed_from_u64(seed);
    (0..MOMENTS).map(|_| taken.mul_f64(random.random_range(0.2..1.1))).collect()
}

fn ended_after(mut child: Child, moment: Duration, signal: &str) -> Output {
    sleep(moment);
    if child.try_wait().expect("a state").is_none() {
        let _ = Command::new("kill").args([format!("-{signal}"), child.id().to_string()]).status();
    }
    child.wait_with_output().expect("an end")
}

/// The moments of one signal for every writer.
fn at_any_moment(signal: &str, codes: &[Option<i32>], seed: u64) {
    let input = tempfile::tempdir().expect("a folder");
    let (plan, network) = inputs(input.path(), "1");
    for (at, writer) in (0..).zip(writers(&plan, &network)) {
        let (whole, taken) = writer.whole(tempfile::tempdir().expect("a folder").path());
        for moment in moments(taken, seed + at) {
            let folder = tempfile::tempdir().expect("a folder");
            let child = writer.command(folder.path()).spawn().expect("it starts");
            let Output { status, stderr, .. } = ended_after(child, moment, signal);
            let told = format!("{signal} after {moment:?}: {:?} {}", writer.words, writer.out);
            let (said, code) = (String::from_utf8_lossy(&stderr), status.code());
            assert!(
                code.is_some_and(|code| code <= 1) || codes.contains(&code),
                "{told}: {status} {said}"
            );
            let left = files(folder.path());
            assert!(left.is_empty() || left == whole, "{told}: {:?}", left.keys());
            // A run that was not stopped has written.
            assert!(code.is_none_or(|code| code > 1) || left == whole, "{told}");
        }
    }
}

/// 128 and the number of the signal once a file was begun (POSIX, Shell Command Language, 2.8.2 says
/// more than 128; 128 and the number is common practice); before, the system ends the program.
#[test]
fn terminated_at_any_moment_it_leaves_all_or_nothing() {
    at_any_moment("TERM", &[Some(143), None], 1);
}

#[test]
fn interrupted_at_any_moment_it_leaves_all_or_nothing() {
    at_any_moment("INT", &[Some(130), None], 2);
}

/// Nobody can clean up after SIGKILL: hidden files may stay, but what has a name is whole, and the next
/// run is not troubled by them.
#[test]
fn killed_at_any_moment_it_leaves_only_whole_files() {
    let input = tempfile::tempdir().expect("a folder");
    let (plan, network) = inputs(input.path(), "1");
    for (at, writer) in (0..).zip(writers(&plan, &network)) {
        let (whole, taken) = writer.whole(tempfile::tempdir().expect("a folder").path());
        for moment in moments(taken, 10 + at) {
            let folder = tempfile::tempdir().expect("a folder");
            let child = writer.command(folder.path()).spawn().expect("it starts");
            ended_after(child, moment, "KILL");
            let told = format!("KILL after {moment:?}: {:?} {}", writer.words, writer.out);
            let left = files(folder.path());
            let named = left.iter().filter(|(name, _)| !name.contains(HIDDEN));
            for (name, bytes) in named {
                assert_eq!(whole.get(name), Some(bytes), "{told}: {name} is not whole");
            }
            if writer.words[0] == "init" && !left.is_empty() && hidden(&left).is_empty() {
                // A starter does not take the place of a plan.
                continue;
            }
            let status = writer.command(folder.path()).output().expect("it runs").status;
            assert!(status.code().is_some_and(|code| code <= 1), "{told}: the next run: {status}");
            let mut after = files(folder.path());
            after.retain(|name, _| !name.contains(HIDDEN));
            assert!(after == whole, "{told}: the next run left {:?}", after.keys());
        }
    }
}

/// Sheets of an earlier state of the plan are all replaced, or none is.
#[test]
fn the_sheets_of_a_folder_are_of_one_plan() {
    let input = tempfile::tempdir().expect("a folder");
    let [old, new] = ["1", "2"].map(|revision| {
        let (plan, network) = inputs(input.path(), revision);
        writers(&plan, &network).swap_remove(0)
    });
    let (before, _) = old.whole(tempfile::tempdir().expect("a folder").path());
    let (after, taken) = new.whole(tempfile::tempdir().expect("a folder").path());
    assert!(before.keys().eq(after.keys()));
    // Every row names its plan; a sheet without a row is the same for both.
    let differ = before.iter().filter(|(name, bytes)| after[*name] != **bytes).count();
    assert!(differ >= 10, "{differ} of {} files tell the plans apart", before.len());
    let mut stopped = 0;
    for (signal, moment) in ["TERM", "INT", "TERM"]
        .into_iter()
        .zip(20..)
        .flat_map(|(signal, seed)| moments(taken, seed).into_iter().map(move |moment| (signal, moment)))
    {
        let folder = tempfile::tempdir().expect("a folder");
        old.whole(folder.path());
        let child = new.command(folder.path()).spawn().expect("it starts");
        ended_after(child, moment, signal);
        let left = files(folder.path());
        assert!(left == before || left == after, "{signal} after {moment:?}: a mixed set");
        stopped += usize::from(left == before);
    }
    assert!(stopped > 0, "no moment was within the run");
}

/// A sheet that finds no place keeps all others from being replaced too.
#[test]
fn a_sheet_without_a_place_keeps_the_old_set() {
    let input = tempfile::tempdir().expect("a folder");
    let [old, new] = ["1", "2"].map(|revision| {
        let (plan, network) = inputs(input.path(), revision);
        writers(&plan, &network).swap_remove(0)
    });
    let folder = tempfile::tempdir().expect("a folder");
    old.whole(folder.path());
    let place = folder.path().join("sheets").join("light-cards.html");
    fs::remove_file(&place).expect("gone");
    fs::create_dir(&place).expect("a folder");
    let before = files(folder.path());
    let Output { status, stderr, .. } = new.command(folder.path()).output().expect("it runs");
    let said = String::from_utf8_lossy(&stderr);
    assert_eq!(status.code(), Some(2), "{said}");
    assert!(said.contains("light-cards.html: a folder of that name is there already"), "{said}");
    assert!(files(folder.path()) == before, "the old set was touched");
}

/// With the largest file that may be written set too low (`ulimit -f`), a command says so in one line and
/// leaves what was there. `sh` counts in blocks of 512 bytes (POSIX, `ulimit`), some shells in 1024.
#[test]
fn a_limit_on_files_is_told_and_leaves_nothing() {
    let input = tempfile::tempdir().expect("a folder");
    let (plan, network) = inputs(input.path(), "1");
    for writer in writers(&plan, &network) {
        let folder = tempfile::tempdir().expect("a folder");
        let mut command = limited(1);
        command.args(&writer.words).arg(folder.path().join(writer.out));
        let Output { status, stderr, .. } = command.output().expect("it runs");
        let said = String::from_utf8_lossy(&stderr);
        assert_eq!(status.code(), Some(2), "{:?}: {status} {said}", writer.words);
        assert!(said.starts_with("error: writing ") && said.lines().count() == 1, "{said}");
        // A workbook goes through temporary files, of which all that is known is that they are full.
        assert!(said.contains("too large") || said.contains("takes no more"), "{said}");
        assert!(
            files(folder.path()).is_empty(),
            "{:?}: {:?}",
            writer.words,
            files(folder.path()).keys()
        );
    }
}

/// So it is where the result goes to standard output, and where an input is copied.
#[test]
fn a_limit_on_files_is_told_for_a_result_and_a_copied_input() {
    let folder = tempfile::tempdir().expect("a folder");
    let (plan, _) = inputs(folder.path(), "1");
    let out = fs::File::create(folder.path().join("page.html")).expect("a file");
    let mut command = limited(1);
    let Output { status, stderr, .. } =
        command.arg("report").arg(&plan).stdout(out).output().expect("it runs");
    let said = String::from_utf8_lossy(&stderr);
    assert_eq!(status.code(), Some(2), "{status} {said}");
    assert!(said.contains("writing the result") && said.contains("too large"), "{said}");
    let mut child = limited(1)
        .args(["audit", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    let rows = "site,port,module\n".to_string() + &"ALD,1/1,10GBASE-LR\n".repeat(1000);
    // The program may have ended before it has read all.
    let _ = std::io::Write::write_all(&mut child.stdin.take().expect("its input"), rows.as_bytes());
    let Output { status, stderr, .. } = child.wait_with_output().expect("an end");
    let said = String::from_utf8_lossy(&stderr);
    assert_eq!(status.code(), Some(2), "{status} {said}");
    assert!(said.contains("temporary file") && said.contains("too large"), "{said}");
}

/// The program with no file larger than so many blocks.
fn limited(blocks: u32) -> Command {
    let mut command = Command::new("sh");
    command.arg("-c").arg(format!("ulimit -f {blocks}; exec \"$0\" \"$@\""));
    command.arg(env!("CARGO_BIN_EXE_spanwright"));
    command.stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}
