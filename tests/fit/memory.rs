//! The module in hand says what it is: answers from dumps of invented modules (`tests/module_memory`),
//! asked of the program itself.

use std::path::PathBuf;

use assert_cmd::Command;
use serde_json::Value;

fn dump(name: &str) -> String {
    format!("{}/tests/module_memory/dumps/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// Exit code and JSON of `spanwright fit --memory`.
fn fit(dump: &str, more: &[&str]) -> (i32, Value) {
    let mut command = Command::cargo_bin("spanwright").expect("the program");
    command.args(["fit", "--memory", dump, "--format", "json"]).args(more);
    let output = command.output().expect("it runs");
    let code = output.status.code().expect("it ended by itself");
    let text = String::from_utf8(output.stdout).expect("text");
    let errors = String::from_utf8_lossy(&output.stderr).into_owned();
    (code, serde_json::from_str(&text).unwrap_or_else(|error| panic!("{error}: {errors}")))
}

fn rules(answer: &Value) -> Vec<&str> {
    let findings = answer["findings"].as_array().expect("findings");
    findings.iter().map(|finding| finding["rule"].as_str().expect("an id")).collect()
}

/// An invented 10GBASE-LR module (SFF-8472: compliance byte 3, 20h; 1310 nm).
const LR: &str = "sfpp_10gbase_lr.hex";
/// An invented upstream half of 1000BASE-BX10 that nothing shines at.
const BX: &str = "sfp_1000base_bx10u_dark.hex";
/// An invented 400GBASE-FR4 module (CMIS).
const FR4: &str = "qsfpdd_400gbase_fr4_cmis.hex";
/// An invented 100GBASE-LR4 module (SFF-8636).
const LR4: &str = "qsfp28_100gbase_lr4.txt";

#[test]
fn the_right_module_is_a_go() {
    let way = ["--length", "2 km", "--connectors", "2"];
    for (name, cage, far) in
        [(LR, "SFP+", "10GBASE-LR"), (LR4, "QSFP28", "100GBASE-LR4"), (BX, "SFP", "1000BASE-BX10-D")]
    {
        let more = [&["--cage", cage, "--far-optic", far][..], &way].concat();
        let (code, answer) = fit(&dump(name), &more);
        assert_eq!((code, answer["go"].as_str()), (0, Some("GO")), "{name}: {answer:#}");
        assert!(answer["what"].as_str().is_some_and(|what| what.contains(far)), "{name}");
    }
}

/// Without a word about the far end, it has the same optic, or of a half the other half; it is said.
#[test]
fn the_far_end_is_assumed_and_said_so() {
    for (name, far) in [(LR, "10GBASE-LR"), (BX, "1000BASE-BX10-D")] {
        let (code, answer) = fit(&dump(name), &["--length", "2 km"]);
        assert_eq!(code, 0, "{answer:#}");
        let assumed = answer["assumed"].as_array().expect("what is assumed");
        assert!(assumed.iter().any(|one| one.as_str().is_some_and(|one| one.contains(far))));
    }
}

#[test]
fn the_wrong_module_is_a_no_go() {
    // A module of 10 Gbit/s in a cage of 1 (INF-8074i): its identifier alone would not tell.
    let (code, answer) = fit(&dump(LR), &["--cage", "SFP"]);
    assert_eq!((code, rules(&answer).contains(&"fit.dead-in-cage")), (1, true), "{answer:#}");
    // Another body.
    let (code, answer) = fit(&dump(LR4), &["--cage", "SFP+"]);
    assert_eq!((code, rules(&answer).contains(&"fit.wrong-cage")), (1, true), "{answer:#}");
    // Another wavelength at the far end.
    let far = ["--far-optic", "10GBASE-ER", "--length", "8 km"];
    let (code, answer) = fit(&dump(LR), &far);
    assert_eq!((code, rules(&answer).contains(&"fit.receiver-band")), (1, true), "{answer:#}");
    // The same half at both ends.
    let far = ["--far-optic", "1000BASE-BX10-U", "--length", "5 km"];
    let (code, answer) = fit(&dump(BX), &far);
    assert_eq!((code, rules(&answer).contains(&"fit.same-side-bidi")), (1, true), "{answer:#}");
    // Lanes 20 nm apart facing lanes 4.5 nm apart.
    let (code, answer) = fit(&dump(LR4), &["--far-optic", "100G-CWDM4", "--length", "1 km"]);
    assert_eq!((code, rules(&answer).contains(&"fit.lanes-differ")), (1, true), "{answer:#}");
}

/// Two interface types share the code of the module for 400G over duplex fiber (SFF-8024): where the
/// memory leaves it open, the far end decides nothing and the answer is not GO.
#[test]
fn a_memory_that_leaves_it_open_is_not_guessed() {
    let (code, answer) = fit(&dump(FR4), &["--cage", "QSFP-DD", "--length", "1 km"]);
    assert_eq!((code, answer["go"].as_str()), (3, Some("CANNOT JUDGE")), "{answer:#}");
    assert!(rules(&answer).contains(&"fit.unknown-optic"), "{answer:#}");
    let named = answer["what"].as_str().expect("what is judged");
    assert!(named.contains("400GBASE-FR4") && named.contains("400G-FR4"), "{named}");
}

/// A bit turned over in the fields that identify the module: nothing it says can be relied on.
#[test]
fn a_bad_checksum_is_a_no_go() {
    let text = std::fs::read_to_string(dump(LR)).expect("the dump");
    let mut bytes: Vec<u8> =
        text.split_whitespace().map(|byte| u8::from_str_radix(byte, 16).expect("hex")).collect();
    bytes[25] ^= 1;
    let folder = tempfile::tempdir().expect("a folder");
    let path: PathBuf = folder.path().join("turned.bin");
    std::fs::write(&path, bytes).expect("written");
    let name = path.to_str().expect("a name");
    let more = ["--cage", "SFP+", "--far-optic", "10GBASE-LR", "--length", "2 km"];
    let (code, answer) = fit(name, &more);
    assert_eq!((code, answer["go"].as_str()), (1, Some("NO-GO")), "{answer:#}");
    assert_eq!(rules(&answer), ["memory.checksum"]);
    assert!(answer["because"].as_str().is_some_and(|why| why.contains("check code")), "{answer:#}");
}

/// The module's own case temperatures count in a cabinet; `--temperature` on the command line goes
/// before them.
#[test]
fn the_temperature_range_of_the_module_itself() {
    let (code, _) = fit(&dump(LR), &["--cage", "SFP+", "--place", "cabinet", "--temperature", "C"]);
    assert_eq!(code, 1);
    let (_, answer) = fit(&dump(LR), &["--cage", "SFP+", "--place", "cabinet", "--temperature", "I"]);
    assert!(!rules(&answer).contains(&"fit.temperature"), "{answer:#}");
}
