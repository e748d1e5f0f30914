//! What the README pastes is what the program prints. To renew it: `UPDATE_README=1 cargo test --test readme`.
//!
//! `<!-- paste: COMMAND -->` stands before such a block; `, first N lines` behind the command cuts its output,
//! `, then head -N FILE` shows the beginning of a file that it wrote.

use std::path::Path;
use std::process::Command;

const START: &str = "<!-- paste: ";
const END: &str = "<!-- paste end -->";

/// Lines, each with its end.
fn lines<'t>(some: impl Iterator<Item = &'t str>) -> String {
    let mut text: String = some.collect::<Vec<_>>().join("\n");
    if !text.is_empty() {
        text.push('\n');
    }
    text
}

/// The words of a command line; double quotes keep blanks together.
fn words(text: &str) -> Vec<String> {
    let quoted = |(index, part): (usize, &str)| -> Vec<String> {
        match index % 2 {
            0 => part.split_whitespace().map(String::from).collect(),
            _ => vec![part.to_string()],
        }
    };
    text.split('"').enumerate().flat_map(quoted).collect()
}

/// What a paste shows, run in a folder of its own that holds the examples.
fn shown(paste: &str, folder: &Path) -> String {
    let (command, first) = match paste.split_once(", first ") {
        Some((command, rest)) => (command, rest.strip_suffix(" lines").and_then(|n| n.parse().ok())),
        None => (paste, None),
    };
    let (command, head) = match command.split_once(", then head -") {
        Some((command, rest)) => (command, rest.split_once(' ')),
        None => (command, None),
    };
    let mut program = Command::new(env!("CARGO_BIN_EXE_spanwright"));
    program.current_dir(folder).env("COLUMNS", "100").env("NO_COLOR", "1").args(words(command));
    let output = program.output().expect("a run");
    assert!(output.stderr.is_empty(), "{command}: {}", String::from_utf8_lossy(&output.stderr));
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    let mut text = match first {
        Some(count) => lines(text.lines().take(count)) + "…\n",
        None => text,
    };
    if let Some((count, file)) = head {
        let count: usize = count.parse().expect("a number of lines");
        let written = std::fs::read_to_string(folder.join(file)).expect("the file");
        text += &format!("$ head -{count} {file}\n{}", lines(written.lines().take(count)));
    }
    let trimmed = lines(text.lines().map(str::trim_end));
    format!("```console\n$ spanwright {command}\n{trimmed}```\n")
}

fn copied(from: &Path, to: &Path) {
    std::fs::create_dir_all(to).expect("a folder");
    for entry in std::fs::read_dir(from).expect("a folder") {
        let path = entry.expect("an entry").path();
        let target = to.join(path.file_name().expect("a name"));
        if path.is_dir() {
            copied(&path, &target);
        } else {
            std::fs::copy(&path, &target).expect("a copy");
        }
    }
}

#[test]
fn what_is_pasted_is_what_is_printed() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let readme = std::fs::read_to_string(root.join("README.md")).expect("the README");
    let folder = tempfile::tempdir().expect("a folder");
    copied(&root.join("examples"), &folder.path().join("examples"));
    let mut renewed = String::new();
    let mut rest = readme.as_str();
    let mut pastes = 0;
    while let Some(at) = rest.find(START) {
        let (before, paste) = rest.split_at(at);
        let (command, body) = paste[START.len()..].split_once(" -->\n").expect("the end of a mark");
        let (_, after) = body.split_once(END).expect("the end of a paste");
        renewed += &format!("{before}{START}{command} -->\n{}{END}", shown(command, folder.path()));
        rest = after;
        pastes += 1;
    }
    renewed += rest;
    assert!(pastes >= 6, "{pastes} pastes");
    if std::env::var_os("UPDATE_README").is_some() {
        std::fs::write(root.join("README.md"), &renewed).expect("the README is written");
        return;
    }
    let differs = readme.lines().zip(renewed.lines()).position(|(was, is)| was != is);
    let line = differs.map_or(0, |line| line + 1);
    assert!(
        readme == renewed,
        "line {line} of the README: run UPDATE_README=1 cargo test --test readme"
    );
}
