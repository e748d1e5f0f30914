//! Writes a plan of many PONs for measurements: a small YAML file and two CSV tables.
//!
//! `cargo run --release --example generate_pon -- FOLDER [ONTS] [SPLIT] [SEED]`
//! ONTS (default 1,000,000) is rounded up to whole PONs of SPLIT (default 32) ends. Feeder and drop
//! lengths are drawn from the seed (default 1), so that no two PONs are alike.

use std::error::Error;
use std::fs::{File, create_dir_all};
use std::io::{BufWriter, Write};
use std::path::Path;

use rand::{Rng, RngExt, SeedableRng};
use rand_pcg::Pcg64;

fn main() -> Result<(), Box<dyn Error>> {
    let mut args = std::env::args().skip(1);
    let folder = args.next().ok_or("which folder?")?;
    let onts: u64 = args.next().map_or(Ok(1_000_000), |text| text.parse())?;
    let split: u64 = args.next().map_or(Ok(32), |text| text.parse())?;
    let seed: u64 = args.next().map_or(Ok(1), |text| text.parse())?;
    let pons = onts.div_ceil(split);
    let folder = Path::new(&folder);
    create_dir_all(folder)?;
    let mut random = Pcg64::seed_from_u64(seed);
    write_plan(folder, pons, split)?;
    write_feeders(folder, pons, &mut random)?;
    write_drops(folder, pons, split, &mut random)?;
    println!("{pons} PONs, {} ONTs in {}", pons * split, folder.display());
    Ok(())
}

fn write_plan(folder: &Path, pons: u64, split: u64) -> Result<(), Box<dyn Error>> {
    let ends = pons * split;
    let text = format!(
        "spanwright: 1
title: Generated plan of {pons} PONs
reserve: 1 dB
defaults:
  fiber: G.652.D
  connector: {{grade: C, polish: APC}}
  splice: fusion
  joint: splice
  reel: 4 km
places:
  office: {{kind: central-office}}
shelves:
  olt: {{place: office, ports: {{\"[1-{pons}]\": {{optic: GPON-OLT-B+}}}}}}
panels:
  frame: {{place: office, positions: {pons}}}
splitters:
  \"s-[1-{pons}]\": {{ratio: 1x{split}}}
onts:
  \"h-[1-{ends}]\": {{optic: GPON-ONU-B+}}
spans:
  - {{from: \"olt/[1-{pons}]\", to: \"frame/[1-{pons}]\", length: 10 m, kind: patch-cord}}
  - {{table: feeders.csv, kind: cable}}
  - {{table: drops.csv, kind: drop}}
"
    );
    std::fs::write(folder.join("plan.yaml"), text)?;
    Ok(())
}

/// Feeders of 1 to 12 km, to the meter.
fn write_feeders(folder: &Path, pons: u64, random: &mut impl Rng) -> Result<(), Box<dyn Error>> {
    let mut out = BufWriter::new(File::create(folder.join("feeders.csv"))?);
    writeln!(out, "from,to,length")?;
    for pon in 1..=pons {
        let meters = random.random_range(1_000..12_000);
        writeln!(out, "frame/{pon},s-{pon}/in,{meters} m")?;
    }
    Ok(out.flush()?)
}

/// Drops of 20 to 400 m, to the meter.
fn write_drops(
    folder: &Path,
    pons: u64,
    split: u64,
    random: &mut impl Rng,
) -> Result<(), Box<dyn Error>> {
    let mut out = BufWriter::new(File::create(folder.join("drops.csv"))?);
    writeln!(out, "from,to,length")?;
    for pon in 1..=pons {
        for leg in 1..=split {
            let meters = random.random_range(20..400);
            let home = (pon - 1) * split + leg;
            writeln!(out, "s-{pon}/{leg},h-{home},{meters} m")?;
        }
    }
    Ok(out.flush()?)
}
