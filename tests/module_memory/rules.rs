//! Every rule about memories: a case it finds and a near miss that it lets pass.

use spanwright::check::{Finding, Severity, registry};
use spanwright::place::FileId;
use spanwright::read::dump::parse;

use crate::build::{
    dump_text, external, image_of, judged, lr, parsed, plain_bytes, put_limits, put16, seal_sfp,
};

type Sfp = ([u8; 256], [u8; 256]);

/// The findings of a module with something changed, its check codes set again.
fn sfp(of: fn() -> Sfp, change: impl Fn(&mut [u8; 256], &mut [u8; 256])) -> Vec<Finding> {
    let (mut a0, mut a2) = of();
    change(&mut a0, &mut a2);
    seal_sfp(&mut a0, &mut a2);
    judged(&image_of(&a0, &a2)).1
}

/// The findings of whatever file.
fn file(bytes: &[u8]) -> Vec<Finding> {
    match parse(bytes, FileId(0)) {
        Ok(image) => judged(&image).1,
        Err(findings) => findings,
    }
}

fn lr_bytes() -> Vec<u8> {
    plain_bytes(&dump_text("sfpp_10gbase_lr.hex"))
}

/// A rule, the findings of a case it must find, and of a near miss.
struct Case {
    rule: &'static str,
    hit: Vec<Finding>,
    miss: Vec<Finding>,
}

fn case(rule: &'static str, hit: Vec<Finding>, miss: Vec<Finding>) -> Case {
    Case { rule, hit, miss }
}

fn cases() -> Vec<Case> {
    let lr_of = |change: fn(&mut [u8; 256], &mut [u8; 256])| sfp(lr, change);
    let fr4 = || dump_text("qsfpdd_400gbase_fr4_cmis.hex");
    let dump = |length: usize| file(&lr_bytes()[..length]);
    let mut flipped = lr_bytes();
    flipped[25] ^= 1;
    let mut foreign = lr_bytes();
    foreign[0] = 0x06;
    let mut outside = lr_bytes();
    outside[100] ^= 1;
    vec![
        case(
            "memory.bad-calibration",
            sfp(external, |_, a2| put16(a2, 80, 0)),
            // The constants of a module that does not use them may be zero.
            lr_of(|_, a2| put16(a2, 80, 0)),
        ),
        case("memory.bad-dump", file(b"03 04 07 2Q"), file(dump_text("sfpp_10gbase_lr.hex").as_bytes())),
        case(
            "memory.beyond-alarm",
            lr_of(|_, a2| put16(a2, 96, 75 * 256 + 1)),
            lr_of(|_, a2| put16(a2, 96, 75 * 256)),
        ),
        case(
            "memory.beyond-warning",
            lr_of(|_, a2| put16(a2, 96, 70 * 256 + 1)),
            lr_of(|_, a2| put16(a2, 96, 70 * 256)),
        ),
        case("memory.blank", file(&[0xFF; 512]), file(&[[0xFF; 511].as_slice(), &[0xFE]].concat())),
        // A bit within CC_BASE, and one in the vendor's own bytes.
        case("memory.checksum", file(&flipped), file(&outside)),
        case(
            "memory.claims-disagree",
            lr_of(|a0, _| put16(a0, 60, 1550)),
            lr_of(|a0, _| put16(a0, 60, 1311)),
        ),
        case("memory.cut-off", dump(500), dump(384)),
        case("memory.page-order", file(fr4().as_bytes()), dump(512)),
        case("memory.short", dump(95), dump(96)),
        case(
            "memory.threshold-order",
            lr_of(|_, a2| put_limits(a2, 32, [20_000, 100, 90, 200])),
            lr_of(|_, a2| put_limits(a2, 32, [20_000, 100, 20_000, 100])),
        ),
        case("memory.unknown-code", lr_of(|a0, _| a0[2] = 0x7F), lr_of(|a0, _| a0[2] = 0x01)),
        case("memory.unknown-map", file(&foreign), file(&lr_bytes())),
    ]
}

#[test]
fn every_rule_hits_and_lets_pass() {
    let cases = cases();
    for Case { rule, hit, miss } in &cases {
        let found = |findings: &[Finding]| findings.iter().any(|finding| finding.rule.id == *rule);
        assert!(found(hit), "{rule}: not found in {hit:#?}");
        assert!(!found(miss), "{rule}: found in {miss:#?}");
    }
    let covered: Vec<_> = cases.iter().map(|case| case.rule).collect();
    let registered = registry::ALL.iter().map(|rule| rule.id).filter(|id| id.starts_with("memory."));
    assert_eq!(covered, registered.collect::<Vec<_>>());
}

#[test]
fn thresholds_out_of_order_are_told_and_not_compared_with() {
    let found = sfp(lr, |_, a2| put_limits(a2, 32, [100, 20_000, 90, 10_000]));
    let [finding] = found.as_slice() else { panic!("{found:#?}") };
    assert_eq!(finding.severity, Severity::Error);
    assert_eq!(
        finding.message,
        "received light: low alarm 3.01 dBm, low warning 0.00 dBm, high warning -20.46 dBm, \
         high alarm -20.00 dBm do not rise"
    );
    // All zero or all bits set: no thresholds, and nothing to find.
    assert!(sfp(lr, |_, a2| put_limits(a2, 32, [0; 4])).is_empty());
    assert!(sfp(lr, |_, a2| put_limits(a2, 32, [u16::MAX; 4])).is_empty());
}

#[test]
fn readings_that_are_not_valid_yet_are_not_judged() {
    let cold = |ready: u8| {
        sfp(lr, move |_, a2| {
            put16(a2, 104, 0);
            a2[110] = ready;
        })
    };
    assert_eq!(cold(0).len(), 1);
    assert!(cold(1).is_empty());
}

#[test]
fn bytes_without_a_place_are_told() {
    let bytes = plain_bytes(&dump_text("qsfpdd_400gbase_fr4_cmis.hex"));
    let mut long = bytes.clone();
    long.extend([0; 256]);
    let found = file(&long);
    assert!(
        found.iter().any(|f| f.rule.id == "memory.cut-off" && f.message.contains("128 more bytes")),
        "{found:#?}"
    );
    // Three blocks of SFF-8636 without names: which page the third is, is anybody's guess.
    let text = dump_text("qsfp28_100gbase_lr4.txt")
        .replace("page 03h", "")
        .replace("lower memory and page 00h", "");
    let (memory, found) = judged(&parsed(&text));
    assert!(memory.expect("a memory").diagnostics.expect("readings").thresholds.stated().is_empty());
    assert!(found.iter().any(|f| f.rule.id == "memory.cut-off"), "{found:#?}");
}
