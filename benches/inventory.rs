//! Audits against the bare reading of the same file: `cargo bench --bench inventory`.
//!
//! The promise is a ratio: reading, pairing and every rule on all cores, against the byte records of the
//! `csv` crate on one thread. `benches/inventory.sh` measures whole processes, and an SQL engine beside.

#[path = "../examples/generate_inventory/faults.rs"]
mod faults;
#[path = "../examples/generate_inventory/world.rs"]
mod world;

use std::path::{Path, PathBuf};
use std::sync::OnceLock;

use divan::{Bencher, black_box};
use spanwright::audit::run::{Choice, prepare, run};
use spanwright::check::inventory_rules::facts::Limits;
use spanwright::check::policy::Policy;
use spanwright::read::inventory::again::Again;
use spanwright::read::inventory::load::{load, open_all};
use spanwright::read::sources::Sources;
use spanwright::read::tables::built_in;

/// Blocks of 2,048 rows.
const BLOCKS: u64 = 100;

fn main() {
    divan::main();
}

/// A file of 204,800 rows and 29 columns, written once.
fn file() -> &'static Path {
    static FILE: OnceLock<(tempfile::TempDir, PathBuf)> = OnceLock::new();
    let (_, path) = FILE.get_or_init(|| {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("ports.csv");
        let mut text = world::HEADS.join(",");
        for number in 0..BLOCKS {
            let mut block = world::block(1, number);
            let planted = faults::plant(&mut block, number as usize * 16, 16, false);
            let named = |fault: &faults::Planted| {
                !fault.rule.is_empty() && fault.at.len() <= fault.touched.len()
            };
            assert!(planted.iter().all(named), "faults with their rules and ports");
            for row in block.sides.iter().flatten() {
                text.push('\n');
                text.push_str(&world::line(row, world::HEADS.len(), ','));
            }
        }
        std::fs::write(&path, text).expect("a file");
        (folder, path)
    });
    path
}

#[divan::bench]
fn bare_reading(bencher: Bencher<'_, '_>) {
    let path = file();
    bencher.bench_local(|| {
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_path(path).expect("the file");
        let mut record = csv::ByteRecord::new();
        let mut bytes = 0;
        while reader.read_byte_record(&mut record).expect("a record") {
            bytes += black_box(record.as_slice()).len();
        }
        bytes
    });
}

#[divan::bench]
fn whole_audit(bencher: Bencher<'_, '_>) {
    let paths = [file().to_path_buf()];
    let tables = built_in();
    let (limits, policy) = (Limits::default(), Policy::default());
    bencher.bench_local(|| {
        let mut sources = Sources::default();
        let inputs = open_all(&paths, None, &tables, &mut sources).expect("the file");
        let mut loaded = load(&inputs, &tables, &|_, _| {}).expect("its rows");
        let prepared = prepare(&mut loaded.inventory);
        let choice = Choice { tables: &tables, limits: &limits, policy: &policy, plan: None };
        let mut again = Again::new(&inputs, &loaded.places, &loaded.inventory);
        run(&loaded.inventory, prepared, choice, &mut again).expect("an audit").hits.len()
    });
}

#[divan::bench]
fn reading_alone(bencher: Bencher<'_, '_>) {
    let paths = [file().to_path_buf()];
    let tables = built_in();
    bencher.bench_local(|| {
        let mut sources = Sources::default();
        let inputs = open_all(&paths, None, &tables, &mut sources).expect("the file");
        load(&inputs, &tables, &|_, _| {}).expect("its rows").inventory.rows.len()
    });
}
