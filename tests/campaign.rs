//! A short, seeded run of damaged input through every target of `fuzz/`, which a long run under libFuzzer
//! shares. Every input of the corpus, those that once were faults included, runs unchanged first.

use std::path::Path;

#[path = "../fuzz/src/targets/mod.rs"]
mod targets;

/// Changed inputs for each target.
const CHANGED: u64 = 150;

/// The inputs of a target, sorted by name.
fn corpus(target: &str) -> Vec<(String, Vec<u8>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fuzz/corpus").join(target);
    let entries =
        std::fs::read_dir(&folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let mut found: Vec<(String, Vec<u8>)> = entries
        .map(|entry| {
            let entry = entry.expect("an entry");
            let bytes = std::fs::read(entry.path()).expect("a file");
            (entry.file_name().to_string_lossy().into_owned(), bytes)
        })
        .collect();
    found.sort();
    assert!(!found.is_empty(), "{target} has no corpus");
    found
}

fn campaign(target: &str) {
    let inputs = corpus(target);
    for (name, bytes) in &inputs {
        eprintln!("{target}/{name}");
        targets::run(target, bytes);
    }
    let count = inputs.len() as u64;
    for seed in 0..CHANGED {
        let (one, other) =
            (&inputs[(seed % count) as usize], &inputs[((seed / count) % count) as usize]);
        eprintln!("{target}/{} with seed {seed}", one.0);
        targets::run(target, &targets::mutate::changed(&one.1, &other.1, seed));
    }
}

macro_rules! campaigns {
    ($($target:ident)*) => {
        $(#[test]
        fn $target() {
            campaign(stringify!($target));
        })*

        #[test]
        fn every_target_has_its_run() {
            let run = [$(stringify!($target)),*];
            assert_eq!(targets::TARGETS.map(|target| target.0).as_slice(), run);
        }
    };
}

campaigns! { columns inventory lists memory network plan tables workbook }
