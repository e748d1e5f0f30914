//! Three messy files made by hand (`examples/port-inventory/`), each with the list of what is wrong in
//! it: all of it is found, nothing else above a note, in whatever dress the rows come.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use rand::SeedableRng;
use rand::seq::SliceRandom;
use rand_pcg::Pcg64;
use spanwright::check::Severity;

use crate::{Said, audit};

struct Messy {
    file: &'static str,
    map: Option<&'static str>,
    /// Lines above the first row.
    above: usize,
    delimiter: char,
    /// Rule and port of everything that is wrong.
    wrong: &'static [(&'static str, &'static str)],
}

const MESSY: [Messy; 3] = [
    Messy {
        file: "hand-typed.csv",
        map: None,
        above: 4,
        delimiter: ';',
        wrong: &[
            ("inventory.damaged-name", "Vtc 1/1/5"),
            ("inventory.dark-but-up", "VTC 1/1/6"),
            ("inventory.far-end-unclear", "VTC 1/1/6"),
            ("inventory.receive-below-expected", "V.T.C. 1/1/4"),
            ("inventory.receive-under-least", "V.T.C. 1/1/4"),
            ("inventory.directions-differ", "PLS 1/1/4"),
            ("inventory.hotter-than-siblings", "PLS 1/1/6"),
        ],
    },
    Messy {
        file: "merged-cells.csv",
        map: Some("merged-cells.columns.yml"),
        above: 1,
        delimiter: ',',
        wrong: &[
            ("inventory.lanes-unlike", "KESTREL HUT 1 1 1"),
            ("inventory.slot-without-blank", "KESTREL HUT 1 2"),
            ("inventory.serial-twice", "MERLE 1/1/2"),
            ("inventory.far-end-unclear", "MERLE 1/1/3"),
            ("inventory.duplicate-row", "MERLE 1/1/3"),
        ],
    },
    Messy {
        file: "two-sites.tsv",
        map: None,
        above: 1,
        delimiter: '\t',
        wrong: &[
            ("budget.overload", "ROWAN 1/2/2"),
            ("budget.overload", "SEDGE CAB 1/1/2"),
            ("fit.same-side-bidi", "SEDGE CAB 1/1/1"),
            ("fit.temperature", "SEDGE CAB 1/1/1"),
            ("inventory.circuit-differs", "ROWAN 1/2/2"),
            ("inventory.far-end-disagrees", "SEDGE CAB 1/1/8"),
            ("inventory.far-end-unknown", "ROWAN 1/2/4"),
            ("inventory.more-onus-than-split", "ROWAN 1/1/1"),
            ("inventory.receive-over-overload", "ROWAN 1/2/2"),
            ("inventory.receive-over-overload", "SEDGE CAB 1/1/2"),
            ("inventory.spare-in-use", "ROWAN 1/2/3"),
            ("inventory.uplinks-together", "ROWAN 1/2/2"),
            ("inventory.uplinks-together", "SEDGE CAB 1/1/1"),
        ],
    },
];

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/port-inventory").join(name)
}

fn wrong(said: &Said) -> BTreeSet<(String, String)> {
    let grave = said.findings.iter().filter(|finding| finding.severity > Severity::Note);
    grave.map(|finding| (finding.rule.id.to_string(), finding.subject.clone())).collect()
}

fn expected(messy: &Messy) -> BTreeSet<(String, String)> {
    messy.wrong.iter().map(|(rule, port)| ((*rule).to_string(), (*port).to_string())).collect()
}

/// The lines of a file as text, whatever its encoding.
fn lines(messy: &Messy) -> Vec<String> {
    let bytes = std::fs::read(example(messy.file)).expect("the example");
    let text = if bytes.starts_with(b"\xFF\xFE") {
        let units: Vec<u16> =
            bytes[2..].chunks_exact(2).map(|pair| u16::from_le_bytes([pair[0], pair[1]])).collect();
        String::from_utf16(&units).expect("UTF-16")
    } else {
        encoding_rs::WINDOWS_1252.decode(&bytes).0.into_owned()
    };
    text.lines().map(String::from).collect()
}

/// The same rows with other marks between the cells.
fn parted(line: &str, from: char, to: char) -> String {
    let mut reader =
        csv::ReaderBuilder::new().delimiter(from as u8).has_headers(false).from_reader(line.as_bytes());
    let record = reader.records().next().and_then(Result::ok).unwrap_or_default();
    let cells = record.iter().map(|cell| {
        if cell.contains([to, '"']) {
            format!("\"{}\"", cell.replace('"', "\"\""))
        } else {
            cell.to_string()
        }
    });
    cells.collect::<Vec<_>>().join(&to.to_string())
}

fn audit_copy(messy: &Messy, name: &str, bytes: &[u8]) -> Said {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).expect("a file");
    audit(&[path], messy.map.map(example).as_ref())
}

#[test]
fn everything_wrong_is_found_and_nothing_else() {
    for messy in &MESSY {
        let said = audit(&[example(messy.file)], messy.map.map(example).as_ref());
        assert_eq!(wrong(&said), expected(messy), "{}", messy.file);
    }
}

#[test]
fn copies_in_another_dress_say_the_same() {
    for messy in &MESSY {
        let lines = lines(messy);
        for to in [',', ';', '\t', '|'] {
            // A list of lanes uses the bar itself.
            if to == '|' && messy.file == "merged-cells.csv" {
                continue;
            }
            let text: Vec<String> = lines.iter().map(|line| parted(line, messy.delimiter, to)).collect();
            let utf_8 = text.join("\n");
            let utf_16: Vec<u8> = utf_8.encode_utf16().flat_map(u16::to_be_bytes).collect();
            let utf_16 = [b"\xFE\xFF".as_slice(), &utf_16].concat();
            let narrow = encoding_rs::WINDOWS_1252.encode(&utf_8).0.into_owned();
            for bytes in [utf_8.clone().into_bytes(), utf_16, narrow] {
                let said = audit_copy(messy, "copy.csv", &bytes);
                assert_eq!(wrong(&said), expected(messy), "{} with `{to}`", messy.file);
            }
        }
    }
}

#[test]
fn shuffled_rows_say_the_same() {
    // Rows that are filled from above, or doubled, cannot be shuffled without meaning something else.
    for messy in MESSY.iter().filter(|messy| messy.map.is_none()) {
        let mut lines = lines(messy);
        let mut rng = Pcg64::seed_from_u64(3);
        for _ in 0..5 {
            lines[messy.above..].shuffle(&mut rng);
            let said = audit_copy(messy, "copy.csv", lines.join("\n").as_bytes());
            assert_eq!(wrong(&said), expected(messy), "{}", messy.file);
        }
    }
}

#[test]
fn a_date_is_restored_only_where_the_far_end_says_it() {
    let said = audit(&[example("hand-typed.csv")], None);
    assert_eq!(said.summary.matched.mutual, 10);
    let alone = "site,port,far_site,far_port\nA,2003-01-01,B,1/1/1\nB,1/1/1,A,3/1/9\n";
    let said = crate::audit_text("ports.csv", alone.as_bytes());
    let damaged =
        said.findings.iter().find(|f| f.rule.id == "inventory.damaged-name").expect("a finding");
    assert!(damaged.message.contains("1/1/3 or 3/1/1"), "{}", damaged.message);
}

#[test]
fn nothing_is_reinterpreted_in_silence() {
    let said = audit(&[example("hand-typed.csv")], None);
    let turn = |column: &str, how: &str| {
        let found = said.summary.turns.iter().find(|t| t.column == column && t.how.contains(how));
        found.unwrap_or_else(|| panic!("{column}: {how}")).cells
    };
    assert_eq!(turn("rx", "decimal comma"), 12);
    assert_eq!(turn("rx", "dark"), 1);
    assert_eq!(turn("path_length", "decimal comma"), 12);
    assert_eq!(turn("port", "left out"), 1);
}
