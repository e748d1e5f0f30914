//! What a row states of its own validity is used: figures do not hold outside their wavelengths, a fiber does
//! not serve below its cut-off, and dispersion is judged on every fiber whose reach nobody has stated.

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

fn json(args: &[&str], folder: &Path) -> (i32, Value) {
    let mut program = Command::cargo_bin("spanwright").expect("the program");
    let output =
        program.current_dir(folder).args(args).args(["--format", "json"]).output().expect("a run");
    let value = serde_json::from_slice(&output.stdout)
        .unwrap_or_else(|_| panic!("{}", String::from_utf8_lossy(&output.stderr)));
    (output.status.code().expect("an end"), value)
}

/// Judges a plan beside own tables (name and text).
fn budget(plan: &str, tables: &[(&str, &str)]) -> (i32, Value) {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::create_dir(folder.path().join("own")).expect("a folder");
    for (name, text) in tables {
        std::fs::write(folder.path().join("own").join(name), text).expect("a table");
    }
    std::fs::write(folder.path().join("plan.yaml"), format!("spanwright: 1\ntables: own/\n{plan}"))
        .expect("a plan");
    json(&["budget", "plan.yaml"], folder.path())
}

fn path(args: &[&str]) -> (i32, Value) {
    json(&[&["path"], args].concat(), Path::new(env!("CARGO_MANIFEST_DIR")))
}

/// Every end is unknown for this reason, and the whole is no pass.
#[track_caller]
fn unknown((code, judged): (i32, Value), reason: &str) {
    assert_eq!((code, judged["verdict"].as_str()), (1, Some("unknown")), "{judged:#}");
    let said = judged["ends"].as_array().expect("ends");
    assert!(
        said.iter().any(|end| end["reason"].as_str().is_some_and(|said| said.contains(reason))),
        "{said:#?}"
    );
}

const PON: &str = "shelves:\n  olt-1: {slots: {1: {card: pon-8, ports: {1: {optic: GPON-OLT-B+}}}}}\n";

#[test]
fn the_figures_of_a_splitter_hold_in_its_band_alone() {
    let plan = format!(
        "{PON}splitters:\n  s: {{ratio: 1x16, type: narrow}}\nonts:\n  home-1: {{optic: GPON-ONU-B+}}\nspans:\n  \
         - {{from: olt-1/1/1, to: s/in, length: 18 km}}\n  - {{from: s/1, to: home-1, length: 90 m, kind: drop}}\n"
    );
    let table = |band: &str| {
        format!(
            "splitter,inputs,outputs,most_db,nm_min,nm_max,source,provenance\n\
             narrow,1,16,14,{band},scenario,invented-demo\n"
        )
    };
    unknown(
        budget(&plan, &[("splitters.csv", &table("1260,1360"))]),
        "splitter `narrow` do not hold at 1490 nm",
    );
    // The near miss: 1490 nm is the last wavelength of the band.
    assert_eq!(budget(&plan, &[("splitters.csv", &table("1260,1490"))]).0, 0);
    unknown(
        budget(&plan, &[("splitters.csv", &table("1260,1489.9"))]),
        "splitter `narrow` do not hold at 1490 nm",
    );
}

#[test]
fn the_figures_of_a_tap_hold_in_its_band_alone() {
    let plan = format!(
        "{PON}taps:\n  t: {{ratio: narrow}}\nsplitters:\n  s: {{ratio: 1x4}}\nonts:\n  \
         home-1: {{optic: GPON-ONU-B+}}\nspans:\n  - {{from: olt-1/1/1, to: t/in, length: 4 km}}\n  \
         - {{from: t/tap, to: s/in, length: 10 m}}\n  - {{from: s/1, to: home-1, length: 90 m, kind: drop}}\n"
    );
    let table = |band: &str| {
        format!(
            "tap,tap_percent,through_most_db,tap_most_db,nm_min,nm_max,source,provenance\n\
             narrow,10,0.8,10.8,{band},scenario,invented-demo\n"
        )
    };
    unknown(budget(&plan, &[("taps.csv", &table("1500,1600"))]), "tap `narrow` do not hold at");
    assert_eq!(budget(&plan, &[("taps.csv", &table("1260,1650"))]).0, 0);
}

/// ITU-T G.654.E: cable cut-off 1530 nm (the row's own note). A measured loss at 1310 nm does not make the
/// fiber single-mode there.
#[test]
fn a_fiber_below_its_cut_off_is_no_pass_although_it_was_measured() {
    let plan = |fiber: &str| {
        format!(
            "shelves:\n  a: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n  b: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n\
             spans:\n  - {{from: a/1, to: b/1, length: 5 km, fiber: {fiber}, measured: {{1310: 2.5 dB}}}}\n"
        )
    };
    unknown(budget(&plan("G.654.E"), &[]), "fiber `G.654.E` is not made for 1310 nm");
    assert_eq!(budget(&plan("G.652.D"), &[]).0, 0);
}

/// 40 km of G.654.E have 17 to 23 ps/(nm km), so up to 920 ps/nm, and the interface takes 800: its reach of
/// 40 km is stated for G.652 (its row; ITU-T G.654 table of G.654.E, from memory).
#[test]
fn a_reach_that_is_stated_for_g652_excuses_no_other_fiber() {
    let at = |fiber: &str| {
        path(&[
            "--optic",
            "OIF-400ZR-unamplified",
            "--fiber",
            fiber,
            "--length",
            "40 km",
            "--connectors",
            "2",
        ])
    };
    let (code, judged) = at("G.654.E");
    assert_eq!((code, judged["verdict"].as_str()), (1, Some("fail")));
    assert!(judged["ends"][0]["why"].as_array().expect("why").contains(&"budget.dispersion".into()));
    // 34 km: 34 times 23 are 782 ps/nm; 35 km: 805.
    for (km, verdict) in [("34 km", "pass"), ("35 km", "fail")] {
        let more = [
            "--optic",
            "OIF-400ZR-unamplified",
            "--fiber",
            "G.654.E",
            "--connectors",
            "2",
            "--length",
            km,
        ];
        assert_eq!(path(&more).1["ends"][0]["verdict"], verdict, "{km}");
    }
}

/// The coefficient of G.654.E is known near 1550 nm alone, the window of 10GBASE-ZR is wider: nothing is
/// promised, where the link used to pass.
#[test]
fn unknown_dispersion_is_said() {
    let more = ["--optic", "10GBASE-ZR", "--fiber", "G.654.E", "--length", "80 km", "--connectors", "2"];
    unknown(path(&more), "that of a fiber on the way is not known");
}
