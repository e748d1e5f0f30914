//! The rules of the house, kept by a test: who imports whom, what must exist for every rule, what is
//! generated and must be up to date, how long a file may grow.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use spanwright::check::Rule;
use spanwright::check::registry::ALL;

/// The rooms, ground floor first: a room imports only from rooms before it.
const ROOMS: [&str; 15] = [
    "units",
    "place",
    "tables",
    "plan",
    "plant",
    "loss",
    "budget",
    "fit",
    "inventory",
    "check",
    "audit",
    "engine",
    "read",
    "report",
    "cli",
];

/// Rules that no plan file of a sensible size can break; they are tested beside their code.
const WITHOUT_CASES: [&str; 1] = ["plan.too-large"];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn files(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut folders = vec![folder.to_path_buf()];
    while let Some(folder) = folders.pop() {
        let entries =
            fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        for entry in entries {
            let path = entry.expect("a readable entry").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == ending) {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// A source file without its unit tests and comments.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).expect("a text file");
    let body = text.split("#[cfg(test)]").next().unwrap_or_default();
    body.lines().filter(|line| !line.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_room_imports_only_from_rooms_above_it() {
    let mut faults = Vec::new();
    for (floor, room) in ROOMS.iter().enumerate() {
        let folder = root().join("src").join(room);
        for path in files(&folder, "rs") {
            let text = code(&path);
            for other in &ROOMS[floor + 1..] {
                if text.contains(&format!("crate::{other}::"))
                    || text.contains(&format!("crate::{other};"))
                {
                    faults.push(format!("{} imports from {other}", path.display()));
                }
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn every_folder_of_the_house_is_a_room() {
    let rooms: BTreeSet<String> = fs::read_dir(root().join("src"))
        .expect("the source folder")
        .filter_map(|entry| entry.ok().filter(|e| e.path().is_dir()))
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    assert_eq!(rooms, ROOMS.iter().map(ToString::to_string).collect());
}

#[test]
fn the_core_opens_nothing_and_prints_nothing() {
    let forbidden = ["std::fs", "std::io", "println!", "eprintln!", "std::env", "SystemTime", "Instant"];
    let pure = ROOMS.iter().take_while(|room| **room != "read");
    let mut faults = Vec::new();
    for path in pure.flat_map(|room| files(&root().join("src").join(room), "rs")) {
        let text = code(&path);
        faults.extend(
            forbidden
                .iter()
                .filter(|word| text.contains(**word))
                .map(|word| format!("{}: {word}", path.display())),
        );
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn no_file_is_longer_than_one_can_hold_in_mind() {
    const MOST_LINES: usize = 500;
    let long: Vec<String> = files(&root().join("src"), "rs")
        .into_iter()
        .map(|path| (fs::read_to_string(&path).expect("a text file").lines().count(), path))
        .filter(|(lines, _)| *lines > MOST_LINES)
        .map(|(lines, path)| format!("{}: {lines} lines", path.display()))
        .collect();
    assert!(long.is_empty(), "{}", long.join("\n"));
}

#[test]
fn every_rule_file_is_in_the_registry_and_sorted() {
    let ids: Vec<&str> = ALL.iter().map(|rule| rule.id).collect();
    let mut sorted = ids.clone();
    sorted.sort_unstable();
    sorted.dedup();
    assert_eq!(ids, sorted, "the registry is sorted by id, without doubles");
    for path in files(&root().join("src/check"), "rs") {
        let text = code(&path);
        let Some((_, rest)) = text.split_once("pub static RULE: Rule = Rule {") else { continue };
        let id = rest.split('"').nth(1).expect("an id");
        assert!(ids.contains(&id), "{} ({id}) is not in the registry", path.display());
    }
}

#[test]
fn every_rule_says_what_why_and_what_to_do() {
    for rule in ALL {
        for (part, text) in
            [("what", rule.what), ("why", rule.why), ("remedy", rule.remedy), ("source", rule.source)]
        {
            assert!(text.len() > 5, "{} says too little of {part}", rule.id);
        }
        assert!(
            rule.id.contains('.')
                && rule.id.chars().all(|c| c.is_ascii_lowercase() || c == '.' || c == '-')
        );
    }
}

#[test]
fn every_rule_has_a_hit_and_a_near_miss() {
    let mut missing = Vec::new();
    for rule in ALL.iter().filter(|rule| needs_cases(rule)) {
        let folder = root().join("tests/rules").join(rule.id);
        let has = |start: &str| {
            fs::read_dir(&folder).is_ok_and(|mut entries| {
                entries
                    .any(|entry| entry.is_ok_and(|e| e.file_name().to_string_lossy().starts_with(start)))
            })
        };
        if !has("hit") || !has("miss") {
            missing.push(rule.id);
        }
    }
    assert!(missing.is_empty(), "no hit or no miss under tests/rules for: {}", missing.join(", "));
}

/// Rules about module memories have their cases in `tests/module_memory.rs`.
fn needs_cases(rule: &Rule) -> bool {
    !rule.id.starts_with("memory.") && !WITHOUT_CASES.contains(&rule.id)
}

#[test]
fn every_reference_row_has_a_source_and_a_provenance() {
    let words = ["published", "common-practice", "memory", "invented-demo"];
    for path in files(&root().join("reference-tables"), "csv") {
        let mut reader = csv::Reader::from_path(&path).expect("a CSV file");
        let heads = reader.headers().expect("heads").clone();
        let column = |name: &str| heads.iter().position(|head| head == name);
        let (source, provenance) = (column("source"), column("provenance"));
        assert!(source.is_some() && provenance.is_some(), "{}", path.display());
        for (line, row) in reader.records().enumerate() {
            let row = row.unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            let cell = |column: Option<usize>| column.and_then(|c| row.get(c)).unwrap_or_default();
            let place = format!("{}, row {}", path.display(), line + 2);
            assert!(!cell(source).trim().is_empty(), "{place} has no source");
            assert!(words.contains(&cell(provenance)), "{place}: provenance {:?}", cell(provenance));
        }
    }
}

/// The README's list of rules is generated. To renew it: `UPDATE_README=1 cargo test --test tidy`.
#[test]
fn the_list_of_rules_in_the_readme_is_up_to_date() {
    const START: &str = "<!-- rules: generated -->\n";
    const END: &str = "<!-- rules: end -->";
    let path = root().join("README.md");
    let text = fs::read_to_string(&path).expect("the README");
    let (before, rest) = text.split_once(START).expect("the start mark");
    let (shown, after) = rest.split_once(END).expect("the end mark");
    let mut wanted = String::from("| rule | severity | finds |\n| --- | --- | --- |\n");
    for rule in ALL {
        wanted.push_str(&format!("| `{}` | {} | {} |\n", rule.id, rule.severity.word(), rule.what));
    }
    if std::env::var_os("UPDATE_README").is_some() {
        fs::write(&path, format!("{before}{START}{wanted}{END}{after}")).expect("a writable README");
        return;
    }
    assert_eq!(shown, wanted, "run: UPDATE_README=1 cargo test --test tidy");
}

/// One writer to the terminal: what prints past it panics when nobody reads.
#[test]
fn only_the_terminal_prints() {
    let words = ["println!", "print!(", "eprint", "dbg!(", "stdout()", "stderr()"];
    let mut faults = Vec::new();
    for path in files(&root().join("src"), "rs") {
        if path.ends_with("cli/terminal.rs") {
            continue;
        }
        for line in code(&path).lines().filter(|line| !line.contains("is_terminal()")) {
            // `use_stderr()` only asks.
            let alone = |at: usize| !line[..at].ends_with('_');
            if words.iter().any(|word| line.match_indices(word).any(|(at, _)| alone(at))) {
                faults.push(format!("{}: {}", path.display(), line.trim()));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
