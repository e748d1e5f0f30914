//! The command line from end to end, on the release of the day.

use std::path::Path;
use std::process::Output;

use assert_cmd::Command;
use serde_json::Value;

fn spanwright(args: &[&str]) -> Output {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env_remove("COLUMNS").env("NO_COLOR", "1");
    command.args(args).output().expect("it runs")
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("it ended by itself")
}

fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

const LR: [&str; 11] = [
    "path",
    "--optic",
    "10GBASE-LR",
    "--fiber",
    "G.652.D",
    "--length",
    "8.4 km",
    "--connectors",
    "6",
    "--splices",
    "6",
];
const PON: [&str; 11] = [
    "path",
    "--class",
    "B+",
    "--length",
    "12 km",
    "--split",
    "1x32",
    "--connectors",
    "4",
    "--splices",
    "5",
];

#[test]
fn the_verdict_stands_first() {
    for args in [LR, PON] {
        let output = spanwright(&args);
        assert_eq!(code(&output), 0);
        assert!(stdout(&output).starts_with("verdict"), "{}", stdout(&output));
        assert!(stdout(&output).contains("Invisible laser light"));
    }
}

#[test]
fn json_has_the_documented_shape() {
    let mut args = PON.to_vec();
    args.extend(["--format", "json"]);
    let json: Value = serde_json::from_str(&stdout(&spanwright(&args))).expect("JSON");
    assert_eq!(json["shape"], "spanwright.budget");
    assert_eq!(json["version"], 1);
    let ends = json["ends"].as_array().expect("ends");
    assert_eq!(ends.len(), 2);
    for end in ends {
        for key in [
            "id",
            "direction",
            "wavelength_nm",
            "verdict",
            "deciding",
            "margin_db",
            "headroom_db",
            "yield",
        ] {
            assert!(!end[key].is_null(), "{key} is there");
        }
        let loss = &end["loss_db"];
        let figure = |key: &str| loss[key].as_f64().expect("a number");
        assert!(figure("least") <= figure("typical") && figure("typical") <= figure("most"));
        assert!(figure("quantile") > figure("typical"));
        let budget = &end["budget_db"];
        assert_eq!((budget["min"].as_f64(), budget["max"].as_f64()), (Some(13.0), Some(28.0)));
    }
    for key in ["pons", "findings", "assumptions", "tables_used", "cautions"] {
        assert!(json[key].is_array(), "{key} is there");
    }
    assert_eq!(json["pons"][0]["ends"], 1);
    assert!(json["pons"][0]["joint_yield"].as_f64().expect("a number") > 0.999);
}

#[test]
fn csv_and_json_agree() {
    let plan = "examples/tap-road/copied.yaml";
    let json: Value =
        serde_json::from_str(&stdout(&spanwright(&["budget", plan, "--format", "json"]))).expect("JSON");
    let csv = stdout(&spanwright(&["budget", plan, "--format", "csv"]));
    let mut reader = csv::Reader::from_reader(csv.as_bytes());
    let heads = reader.headers().expect("heads").clone();
    let column = |name: &str| heads.iter().position(|head| head == name).expect("the column");
    let rows: Vec<csv::StringRecord> = reader.records().map(|row| row.expect("a row")).collect();
    let ends = json["ends"].as_array().expect("ends");
    assert_eq!(rows.len(), ends.len());
    for (row, end) in rows.iter().zip(ends) {
        assert_eq!(&row[column("id")], end["id"].as_str().expect("text"));
        let margin: f64 = row[column("margin_db")].parse().expect("a number");
        assert_eq!(Some(margin), end["margin_db"].as_f64());
        let most: f64 = row[column("loss_most_db")].parse().expect("a number");
        assert_eq!(Some(most), end["loss_db"]["most"].as_f64());
    }
}

#[test]
fn exit_codes_tell_clean_findings_and_bad_input_apart() {
    assert_eq!(code(&spanwright(&["budget", "examples/tap-road/optimum.yaml"])), 0);
    assert_eq!(code(&spanwright(&["budget", "examples/metro-ring/links.yaml"])), 1);
    assert_eq!(code(&spanwright(&["budget", "examples/no-such-plan.yaml"])), 2);
    assert_eq!(code(&spanwright(&["budget"])), 2);
    assert_eq!(code(&spanwright(&["--help"])), 0);
}

#[test]
fn bad_input_goes_to_standard_error_and_nothing_to_standard_output() {
    let output = spanwright(&["budget", "examples/tap-road/optimun.yaml"]);
    assert_eq!(code(&output), 2);
    assert!(output.stdout.is_empty());
    assert!(
        stderr(&output).contains("optimum.yaml"),
        "a near file name is suggested: {}",
        stderr(&output)
    );
}

#[test]
fn an_unknown_optic_is_never_a_pass() {
    let output = spanwright(&["path", "--optic", "10GBASE-LRX", "--length", "1 km"]);
    assert_eq!(code(&output), 1);
    let text = stdout(&output);
    assert!(text.starts_with("verdict      UNKNOWN"), "{text}");
    assert!(text.contains("did you mean `10GBASE-LR"), "{text}");
}

#[test]
fn quantities_are_refused_with_the_reason() {
    let output = spanwright(&["path", "--optic", "10GBASE-LR", "--length", "8.4"]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("no unit"), "{}", stderr(&output));
    let output = spanwright(&["path", "--optic", "10GBASE-LR", "--length", "1 km", "--pad", "5 dBm"]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("power level"), "{}", stderr(&output));
    let output = spanwright(&["path", "--class", "B+", "--length", "1 km", "--split", "1x33"]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("1x32"), "{}", stderr(&output));
}

#[test]
fn the_starter_plan_is_clean_and_never_overwritten() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("first.yaml");
    let name = file.to_str().expect("a name");
    assert_eq!(code(&spanwright(&["init", name])), 0);
    let output = spanwright(&["budget", name]);
    assert_eq!(code(&output), 0, "{}{}", stdout(&output), stderr(&output));
    assert_eq!(code(&spanwright(&["init", name])), 2);
}

#[test]
fn results_are_written_whole_or_not_at_all() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("out.json");
    let plan = "examples/tap-road/optimum.yaml";
    let args = ["budget", plan, "--format", "json", "--out", file.to_str().expect("a name")];
    assert_eq!(code(&spanwright(&args)), 0);
    let text = std::fs::read_to_string(&file).expect("the file");
    assert!(serde_json::from_str::<Value>(&text).is_ok());
    let nowhere = folder.path().join("no/such/folder/out.json");
    let args = ["budget", plan, "--out", nowhere.to_str().expect("a name")];
    assert_eq!(code(&spanwright(&args)), 2);
    let left: Vec<_> = std::fs::read_dir(folder.path()).expect("the folder").collect();
    assert_eq!(left.len(), 1, "no temporary file is left");
}

#[test]
fn tables_and_rules_are_printed_and_explained() {
    let list = stdout(&spanwright(&["tables"]));
    assert!(list.contains("pon-classes") && list.contains("splitters"));
    let splitters = stdout(&spanwright(&["tables", "splitters", "--format", "json"]));
    let json: Value = serde_json::from_str(&splitters).expect("JSON");
    assert!(json["rows"].as_array().expect("rows").iter().all(|row| !row["source"].is_null()));
    assert_eq!(code(&spanwright(&["tables", "spliters"])), 2);
    let rule = stdout(&spanwright(&["rules", "budget.over-loss"]));
    assert!(rule.contains("to do"), "{rule}");
    let output = spanwright(&["rules", "budget.overloss"]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("budget.over-loss"));
}

#[test]
fn the_schema_is_a_json_schema() {
    let json: Value = serde_json::from_str(&stdout(&spanwright(&["schema"]))).expect("JSON");
    assert!(json["$schema"].as_str().expect("text").contains("2020-12"));
    assert!(json["properties"]["spans"].is_object());
}

#[test]
fn one_end_is_shown_element_by_element_both_ways() {
    let plan = "examples/tap-road/copied.yaml";
    let text = stdout(&spanwright(&["budget", plan, "--end", "house-7-4"]));
    assert!(text.contains("downstream, 1490 nm") && text.contains("upstream, 1310 nm"), "{text}");
    let output = spanwright(&["budget", plan, "--end", "house-7-5"]);
    assert_eq!(code(&output), 2);
    assert!(stderr(&output).contains("did you mean `house-7-"), "{}", stderr(&output));
}

#[test]
fn a_closed_pipe_is_no_failure() {
    use std::process::{Command as Process, Stdio};
    let mut child = Process::new(assert_cmd::cargo::cargo_bin("spanwright"))
        .args(["tables", "interfaces"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("it starts");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("it ends");
    assert!(String::from_utf8_lossy(&output.stderr).is_empty());
    assert_eq!(output.status.code(), Some(0));
}

#[test]
fn color_is_used_only_when_asked_for() {
    let plain = spanwright(&PON);
    assert!(!stdout(&plain).contains('\u{1b}'));
    let mut args = PON.to_vec();
    args.extend(["--color", "always"]);
    assert!(stdout(&spanwright(&args)).contains('\u{1b}'));
}

#[test]
fn equal_input_gives_equal_bytes_whatever_the_threads() {
    let run = |threads: &str| {
        let mut command = Command::cargo_bin("spanwright").expect("the binary");
        let plan = Path::new("examples/suburban-overlay/overlay.yaml");
        command.current_dir(env!("CARGO_MANIFEST_DIR")).env("RAYON_NUM_THREADS", threads);
        command.arg("budget").arg(plan).args(["--format", "json"]).output().expect("it runs").stdout
    };
    assert!(run("1") == run("3"));
}
