//! The command line: faces, exit codes.

use assert_cmd::Command;
use serde_json::Value;

use crate::build::{lr, put16, seal_sfp};

fn spanwright(args: &[&str]) -> std::process::Output {
    let mut command = Command::cargo_bin("spanwright").expect("the program");
    command.env("COLUMNS", "100").env_remove("NO_COLOR").args(args).output().expect("runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8(bytes.to_vec()).expect("UTF-8")
}

fn given(name: &str) -> String {
    format!("{}/tests/module_memory/dumps/{name}", env!("CARGO_MANIFEST_DIR"))
}

/// A file with these bytes.
fn file(bytes: &[u8]) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("module.bin");
    std::fs::write(&path, bytes).expect("a file in it");
    let path = path.to_string_lossy().into_owned();
    (folder, path)
}

#[test]
fn tables_for_people() {
    for name in
        ["sfp_1000base_bx10u_dark.hex", "qsfp28_100gbase_lr4.txt", "qsfpdd_400gbase_fr4_cmis.hex"]
    {
        let output = spanwright(&["optic", &given(name)]);
        assert_eq!(output.status.code(), Some(0), "{name}");
        let stem = name.split('.').next().unwrap_or(name);
        insta::assert_snapshot!(format!("table-{stem}"), text(&output.stdout));
    }
}

#[test]
fn a_module_that_does_not_add_up() {
    let (mut a0, mut a2) = lr();
    seal_sfp(&mut a0, &mut a2);
    // Stated against the code, thresholds crossed over, a code from nowhere, a check code left.
    put16(&mut a0, 60, 1330);
    a0[2] = 0x7F;
    a2[36..38].copy_from_slice(&[0, 1]);
    a2[96..98].copy_from_slice(&[80, 0]);
    a0[40..56].copy_from_slice(b"=cmd|'/C x'!A0\x1b[");
    let (_folder, path) = file(&[a0, a2].concat());
    let output = spanwright(&["optic", &path]);
    assert_eq!(output.status.code(), Some(1));
    let shown = text(&output.stdout);
    assert!(!shown.contains('\u{1b}'));
    insta::assert_snapshot!("table-does-not-add-up", shown);
    let csv = text(&spanwright(&["optic", &path, "--format", "csv"]).stdout);
    assert!(csv.contains("module,part number,,\"'=cmd|"), "{csv}");
}

#[test]
fn json_and_csv_carry_the_same() {
    let path = given("sfp_1000base_bx10u_dark.hex");
    let json: Value =
        serde_json::from_slice(&spanwright(&["optic", &path, "--format", "json"]).stdout).expect("JSON");
    assert_eq!((json["shape"].as_str(), json["version"].as_u64()), (Some("spanwright.module"), Some(1)));
    assert_eq!(json["module"]["vendor"], "EXAMPLE OPTICS");
    assert_eq!(json["module"]["wavelength_nm"], 1310.0);
    assert_eq!(json["interfaces"][0]["interface"], "1000BASE-BX10-U");
    assert_eq!(json["check_codes"][0]["right"], true);
    let lane = &json["diagnostics"]["lanes"][0];
    assert_eq!(lane["received"]["mw"], 0.0);
    assert!(lane["received"]["dbm"].is_null(), "dark has no level");
    assert_eq!(lane["transmitted"]["mw"], 0.2512);
    assert_eq!(json["findings"][0]["rule"], "memory.beyond-alarm");

    let csv = text(&spanwright(&["optic", &path, "--format", "csv"]).stdout);
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    let row =
        |item: &str| rows.iter().find(|row| &row[1] == item).unwrap_or_else(|| panic!("{item}\n{csv}"));
    assert_eq!(&row("received light")[5], "dark");
    let level: f64 = row("transmitted light")[3].parse().expect("a number");
    assert!((level - lane["transmitted"]["dbm"].as_f64().expect("a level")).abs() < 1e-9);
    assert_eq!(&row("memory.beyond-alarm")[5], "warning");
}

#[test]
fn exit_codes() {
    let code = |args: &[&str]| spanwright(args).status.code();
    assert_eq!(code(&["optic", &given("sfpp_10gbase_lr.hex")]), Some(0));
    let (mut a0, a2) = lr();
    a0[63] += 1;
    let (_folder, wrong) = file(&[a0, a2].concat());
    assert_eq!(code(&["optic", &wrong]), Some(1));
    let (_folder, blank) = file(&[0; 256]);
    let output = spanwright(&["optic", &blank]);
    assert_eq!(output.status.code(), Some(2));
    assert!(output.stdout.is_empty());
    assert!(text(&output.stderr).contains("error[memory.blank]: every byte of the dump is 00h"));
    let (_folder, broken) = file(b"A0h\n03 04 07 20 0\n");
    let output = spanwright(&["optic", &broken]);
    assert_eq!(output.status.code(), Some(2));
    let error = text(&output.stderr);
    assert!(error.contains("module.bin:2:13") && error.contains("03 04 07 20 0"), "{error}");
    let output = spanwright(&["optic", "no-such-file.hex"]);
    assert_eq!(output.status.code(), Some(2));
    assert!(text(&output.stderr).contains("plan.missing-file"));
    for refused in [
        &["optic"][..],
        &["optic", &wrong, "--channel", "C31"],
        &["optic", "--channel", "31"],
        &["optic", "--wavelength", "-3"],
    ] {
        assert_eq!(code(refused), Some(2), "{refused:?}");
    }
}

#[test]
fn a_result_goes_to_a_file() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("module.json");
    let out_text = out.to_string_lossy();
    let path = given("sfpp_10gbase_lr.hex");
    let output = spanwright(&["optic", &path, "--format", "json", "--out", &out_text]);
    assert_eq!((output.status.code(), output.stdout.len()), (Some(0), 0));
    let json: Value =
        serde_json::from_str(&std::fs::read_to_string(out).expect("written")).expect("JSON");
    assert_eq!(json["module"]["part_number"], "EX-10G-LR");
}

#[test]
fn a_table_of_ones_own_explains_a_code() {
    let folder = tempfile::tempdir().expect("a folder");
    let rows = "standard,field,code,bit,meaning,interface,source,provenance\n\
                SFF-8024,connector,7Fh,,own coupling,,own,user\n\
                SFF-8024,extended-compliance,EEh,,own code,10GBASE-LR,own,user\n";
    std::fs::write(folder.path().join("module-codes.csv"), rows).expect("a table");
    let (mut a0, mut a2) = lr();
    (a0[2], a0[3], a0[36]) = (0x7F, 0, 0xEE);
    seal_sfp(&mut a0, &mut a2);
    let (_folder, path) = file(&[a0, a2].concat());
    let tables = folder.path().to_string_lossy();
    let shown = text(&spanwright(&["optic", &path, "--tables", &tables]).stdout);
    assert!(
        shown.contains("own coupling (7Fh)") && shown.contains("10GBASE-LR, by the code own code (EEh)"),
        "{shown}"
    );
    let plain = text(&spanwright(&["optic", &path]).stdout);
    assert!(plain.contains("unknown (7Fh)") && plain.contains("unknown (EEh)"), "{plain}");
}

#[test]
fn channels() {
    let shown = text(&spanwright(&["optic", "--wavelength", "1550.12"]).stdout);
    insta::assert_snapshot!("channels-of-a-wavelength", shown);
    insta::assert_snapshot!("channel-h31", text(&spanwright(&["optic", "--channel", "H31"]).stdout));
    let json: Value =
        serde_json::from_slice(&spanwright(&["optic", "--channel", "C31", "--format", "json"]).stdout)
            .expect("JSON");
    assert_eq!(json["channels"][0]["frequency_thz"], 193.1);
    assert_eq!(json["channels"][0]["wavelength_nm"], 1552.52438);
    let csv = text(&spanwright(&["optic", "--wavelength", "1310 nm", "--format", "csv"]).stdout);
    assert!(csv.lines().any(|row| row.starts_with("\"coarse, 20 nm\",CWDM1311")), "{csv}");
}
