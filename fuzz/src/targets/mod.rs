//! Damaged input: one target for each written form that is read.
//!
//! A target takes any bytes, reads them as the command line does, makes every result of them, and holds what
//! must hold of any input: no panic, within the bounds of time and memory, least <= typical <= most, a pass
//! has its margin, the exit code says whether an error was found, JSON is JSON, no control character reaches
//! a terminal.
//! The same targets run under libFuzzer (`fuzz_targets/`) and, seeded and short, among the tests of the
//! program (`tests/campaign.rs` of the program).
//! Start reading at [`run`].

mod checks;
mod columns;
mod inventory;
mod lists;
mod memory;
pub mod mutate;
mod network;
mod parts;
mod plan;
mod tables;
mod workbook;

use std::time::{Duration, Instant};

/// The longest that one input may take. The readers' limits allow a few seconds on a machine of its own;
/// the rest is for a loaded one.
const LONGEST: Duration = Duration::from_secs(30);
/// The most memory that the process may ever have held, in kB.
const MOST_KB: u64 = 4 << 20;

/// A target and its name.
type Target = (&'static str, fn(&[u8]));

/// The targets by name.
pub const TARGETS: [Target; 8] = [
    ("columns", columns::run),
    ("inventory", inventory::run),
    ("lists", lists::run),
    ("memory", memory::run),
    ("network", network::run),
    ("plan", plan::run),
    ("tables", tables::run),
    ("workbook", workbook::run),
];

/// Runs one target within the bounds of time and memory.
///
/// # Panics
/// Something does not hold that must hold of any input.
pub fn run(name: &str, data: &[u8]) {
    let target = TARGETS.iter().find(|target| target.0 == name).expect("a target of that name").1;
    let begun = Instant::now();
    target(data);
    let taken = begun.elapsed();
    assert!(taken < LONGEST, "{name}: {} bytes took {taken:?}", data.len());
    if let Some(held) = held() {
        assert!(held < MOST_KB, "{name}: {held} kB of memory were held");
    }
}

/// The most memory that the process held so far, in kB, where the system tells.
fn held() -> Option<u64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    line.split_whitespace().next()?.parse().ok()
}
