//! Writes an inventory of an invented world with planted faults, and the list of them.
//!
//! `cargo run --release --example generate_inventory -- FOLDER ROWS [--wide] [--seed N] [--faults N]`
//! writes `FOLDER/ports.csv` and `FOLDER/faults.csv`. Both sides of a link stand half the file apart.

mod faults;
mod world;

use std::fs::File;
use std::io::{self, BufWriter, Write};
use std::path::Path;

fn main() -> io::Result<()> {
    let mut args = std::env::args().skip(1);
    let usage = || io::Error::other("expected FOLDER ROWS [--wide] [--seed N] [--faults N]");
    let folder = args.next().ok_or_else(usage)?;
    let rows: u64 = args.next().and_then(|text| text.parse().ok()).ok_or_else(usage)?;
    let (mut wide, mut seed, mut most) = (false, 1, 16);
    while let Some(option) = args.next() {
        let mut number = || args.next().and_then(|text| text.parse().ok()).ok_or_else(usage);
        match option.as_str() {
            "--wide" => wide = true,
            "--seed" => seed = number()?,
            "--faults" => most = number()? as usize,
            _ => return Err(usage()),
        }
    }
    write(Path::new(&folder), rows, wide, seed, most)
}

fn write(folder: &Path, rows: u64, wide: bool, seed: u64, most: usize) -> io::Result<()> {
    std::fs::create_dir_all(folder)?;
    let mut ports = BufWriter::new(File::create(folder.join("ports.csv"))?);
    let mut list = BufWriter::new(File::create(folder.join("faults.csv"))?);
    let columns = world::HEADS.len() + if wide { world::WIDE.len() } else { 0 };
    let heads: Vec<&str> = world::HEADS.iter().chain(&world::WIDE).copied().take(columns).collect();
    writeln!(ports, "{}", heads.join(","))?;
    writeln!(list, "rule,ports,touched")?;
    let blocks = rows.div_ceil(2 * world::SIDE_ROWS as u64);
    let half = rows.div_ceil(2);
    for side in 0..2 {
        let mut written = 0;
        for n in 0..blocks {
            // The second half comes in another order of blocks.
            let number = if side == 0 { n } else { scattered(n, blocks) };
            let mut block = world::block(seed, number);
            let planted = faults::plant(&mut block, number as usize * most, most, wide);
            if side == 0 {
                for fault in planted {
                    writeln!(list, "{},{},{}", fault.rule, fault.at.join("|"), fault.touched.join("|"))?;
                }
            }
            for row in &block.sides[side] {
                if written < half {
                    writeln!(ports, "{}", world::line(row, columns, ','))?;
                    written += 1;
                }
            }
        }
    }
    ports.flush()?;
    list.flush()
}

/// A permutation of the numbers below `count`.
fn scattered(n: u64, count: u64) -> u64 {
    let mut step = (count * 5 / 8) | 1;
    while gcd(step, count) != 1 {
        step += 2;
    }
    n * step % count
}

fn gcd(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { gcd(b, a % b) }
}
