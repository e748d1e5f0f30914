//! A short, seeded run of damaged input through every target of `fuzz/`, which a long run under libFuzzer
//! shares. Every input of the corpus, those that once were faults included, runs unchanged first.
//!
//! `CAMPAIGN_SECONDS` and `CAMPAIGN_SEED` make a long run of it that needs no libFuzzer: so many seconds for
//! each target, with seeds from that one on.

use std::path::Path;
use std::time::{Duration, Instant};

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
    for seed in 0..CHANGED {
        change(target, &inputs, seed);
    }
    let Some(seconds) = number("CAMPAIGN_SECONDS") else { return };
    let (begun, first) = (Instant::now(), number("CAMPAIGN_SEED").unwrap_or(CHANGED));
    let mut seed = first;
    while begun.elapsed() < Duration::from_secs(seconds) {
        change(target, &inputs, seed);
        seed += 1;
    }
    eprintln!("{target}: {} changed inputs in {} s", seed - first, begun.elapsed().as_secs());
}

/// Runs one changed input.
fn change(target: &str, inputs: &[(String, Vec<u8>)], seed: u64) {
    let count = inputs.len() as u64;
    let (one, other) = (&inputs[(seed % count) as usize], &inputs[((seed / count) % count) as usize]);
    eprintln!("{target}/{} with seed {seed}", one.0);
    targets::run(target, &targets::mutate::changed(&one.1, &other.1, seed));
}

/// A number that the environment states.
fn number(name: &str) -> Option<u64> {
    let stated = std::env::var(name).ok()?;
    Some(stated.parse().unwrap_or_else(|_| panic!("{name} is `{stated}`, not a whole number")))
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
