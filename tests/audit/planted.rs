//! Recall and precision on generated inventories: every planted fault is found, and no clean row has a
//! finding above a note. Shuffled, otherwise parted and otherwise encoded copies say the same.

use std::collections::BTreeSet;

use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64;
use spanwright::audit::wording::Worded;
use spanwright::check::Severity;

use crate::faults::{Planted, plant};
use crate::world::{self, Cells};
use crate::{Said, audit_text};

/// Enough blocks for every kind of fault.
const BLOCKS: u64 = 6;
const EACH: usize = 16;

fn inventory(wide: bool) -> (Vec<Cells>, Vec<Planted>) {
    let (mut rows, mut planted) = (Vec::new(), Vec::new());
    for number in 0..BLOCKS {
        let mut block = world::block(7, number);
        planted.extend(plant(&mut block, number as usize * EACH, EACH, wide));
        rows.extend(block.sides.into_iter().flatten());
    }
    (rows, planted)
}

fn text(rows: &[Cells], wide: bool, delimiter: char) -> String {
    let columns = world::HEADS.len() + if wide { world::WIDE.len() } else { 0 };
    let all: Vec<&str> = world::HEADS.iter().chain(&world::WIDE).copied().take(columns).collect();
    let mut text = all.join(&delimiter.to_string());
    for row in rows {
        text.push('\n');
        text.push_str(&world::line(row, columns, delimiter));
    }
    text
}

fn is_at(finding: &Worded, places: &[String]) -> bool {
    places.is_empty() || places.iter().any(|place| finding.subject.eq_ignore_ascii_case(place))
}

fn check(said: &Said, planted: &[Planted]) {
    let missed: Vec<String> = planted
        .iter()
        .filter(|fault| !said.findings.iter().any(|f| f.rule.id == fault.rule && is_at(f, &fault.at)))
        .map(|fault| format!("{} at {:?}", fault.rule, fault.at))
        .collect();
    assert!(missed.is_empty(), "not found:\n{}", missed.join("\n"));
    let touched: BTreeSet<String> =
        planted.iter().flat_map(|fault| &fault.touched).map(|name| name.to_uppercase()).collect();
    let invented: Vec<String> = said
        .findings
        .iter()
        .filter(|f| f.severity > Severity::Note && !touched.contains(&f.subject.to_uppercase()))
        .map(|f| format!("{} at {}: {}", f.rule.id, f.subject, f.message))
        .collect();
    assert!(invented.is_empty(), "said of clean rows:\n{}", invented.join("\n"));
}

/// What is said, without places in files.
fn essence(said: &Said) -> BTreeSet<(String, &'static str, String)> {
    let mut all = BTreeSet::new();
    for finding in &said.findings {
        // Which of two rows is called the second one depends on their order.
        let symmetric = finding.rule.id.ends_with("-row")
            || finding.rule.id.ends_with("-rows")
            || finding.rule.id.ends_with("-readings");
        let id = if symmetric { String::new() } else { finding.id.clone() };
        let subject = if symmetric { String::new() } else { finding.subject.clone() };
        all.insert((id, finding.rule.id, subject));
    }
    all
}

/// The first things that only one of two audits says.
fn difference(before: &Said, after: &Said) -> String {
    let (a, b) = (essence(before), essence(after));
    let some: Vec<String> = a.symmetric_difference(&b).take(10).map(|one| format!("{one:?}")).collect();
    some.join("\n")
}

#[test]
fn every_planted_fault_is_found_and_nothing_else() {
    for wide in [false, true] {
        let (rows, planted) = inventory(wide);
        let kinds: BTreeSet<&str> = planted.iter().map(|fault| fault.rule).collect();
        assert!(kinds.len() > if wide { 70 } else { 50 }, "{} kinds are planted", kinds.len());
        check(&audit_text("ports.csv", text(&rows, wide, ',').as_bytes()), &planted);
    }
}

#[test]
fn a_clean_inventory_has_no_finding() {
    let rows: Vec<Cells> =
        (0..3).flat_map(|number| world::block(11, number).sides.into_iter().flatten()).collect();
    let said = audit_text("ports.csv", text(&rows, true, ',').as_bytes());
    let found: Vec<String> =
        said.findings.iter().map(|f| format!("{} {} {}", f.rule.id, f.subject, f.message)).collect();
    assert!(found.is_empty(), "{}", found.join("\n"));
    assert_eq!(said.summary.matched.naming, said.summary.matched.mutual);
    assert!(said.summary.edits.is_empty());
}

#[test]
fn the_order_of_the_rows_changes_nothing() {
    let (mut rows, planted) = inventory(true);
    let before = audit_text("ports.csv", text(&rows, true, ',').as_bytes());
    rows.shuffle(&mut Pcg64::seed_from_u64(5));
    let after = audit_text("ports.csv", text(&rows, true, ',').as_bytes());
    check(&after, &planted);
    assert!(essence(&before) == essence(&after), "{}", difference(&before, &after));
    assert_eq!(before.summary.edit_count, after.summary.edit_count);
}

#[test]
fn the_dress_of_the_file_changes_nothing() {
    let (rows, planted) = inventory(true);
    let plain = text(&rows, true, ',');
    let before = audit_text("ports.csv", plain.as_bytes());
    let utf_16: Vec<u8> = std::iter::once(0xFEFF)
        .chain(text(&rows, true, '\t').encode_utf16())
        .flat_map(u16::to_le_bytes)
        .collect();
    let mut packed = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
    std::io::Write::write_all(&mut packed, plain.as_bytes()).expect("packs");
    let copies: [(&str, Vec<u8>); 5] = [
        ("semicolons.csv", text(&rows, true, ';').into_bytes()),
        ("tabs-utf-16.csv", utf_16),
        ("ports.csv.gz", packed.finish().expect("packs")),
        ("returns.csv", plain.replace('\n', "\r\n").into_bytes()),
        ("mark.csv", [b"\xEF\xBB\xBF".as_slice(), plain.as_bytes()].concat()),
    ];
    for (name, bytes) in copies {
        let after = audit_text(name, &bytes);
        check(&after, &planted);
        assert!(essence(&before) == essence(&after), "{name}: {}", difference(&before, &after));
        let ids = |said: &Said| said.findings.iter().map(|f| f.id.clone()).collect::<Vec<_>>();
        assert!(ids(&before) == ids(&after), "{name}");
    }
}

#[test]
fn the_number_of_threads_changes_nothing() {
    let (rows, _) = inventory(true);
    let plain = text(&rows, true, ',');
    let with = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().expect("threads");
        pool.install(|| {
            let said = audit_text("ports.csv", plain.as_bytes());
            said.findings
                .iter()
                .map(|f| {
                    let message = f.message.replace(&f.file, "FILE");
                    format!("{} {} {} {message} {}", f.id, f.rule.id, f.line, f.hint)
                })
                .collect::<Vec<_>>()
        })
    };
    let one = with(1);
    assert!(one == with(2), "two threads say otherwise than one");
    assert!(one == with(7), "seven threads say otherwise than one");
}
