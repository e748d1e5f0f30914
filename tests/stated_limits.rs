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

/// The coefficient of an own fiber is known near 1550 nm alone, the window of 10GBASE-ZR is wider: nothing is
/// promised, where the link used to pass. That of G.654.E is known: 24.05 * 80 ps/nm are beyond 1600.
#[test]
fn unknown_dispersion_is_said() {
    let plan = |fiber: &str| {
        format!(
            "shelves:\n  a: {{ports: {{1: {{optic: 10GBASE-ZR}}}}}}\n  b: {{ports: {{1: {{optic: 10GBASE-ZR}}}}}}\n\
             spans:\n  - {{from: a/1, to: b/1, length: 80 km, fiber: {fiber}, measured: {{1550: 18 dB}}}}\n"
        )
    };
    let fibers = "fiber,kind,nm_min,nm_max,dispersion_1550_min,dispersion_1550_max,source,provenance\n\
                  own,SM,1260,1650,17,23,scenario,invented-demo\n";
    unknown(budget(&plan("own"), &[("fibers.csv", fibers)]), "that of a fiber on the way is not known");
    let (code, judged) = budget(&plan("G.654.E"), &[]);
    assert_eq!((code, &judged["ends"][0]["reason"]), (1, &"too much chromatic dispersion".into()));
}

fn figure(judged: &Value, end: usize, path: &str) -> f64 {
    let value = judged["ends"][end].pointer(path);
    value.and_then(Value::as_f64).unwrap_or_else(|| panic!("{path}: {judged:#}"))
}

/// Ratio 1.5 of two mode fields: 20 log10((12² + 8²) / (2 * 12 * 8)) = 0.6952 dB (a public table of mode
/// field mismatch gives 0.7 dB for 1.5 to 1), in both directions; between 1310 and 1550 nm on a line.
#[test]
fn unlike_mode_fields_lose_light_where_no_row_does() {
    let fibers = "fiber,kind,nm_min,nm_max,mfd_1310_um,mfd_1550_um,source,provenance\n\
                  wide,SM,1260,1650,12,14,scenario,invented-demo\n\
                  narrow,SM,1260,1650,8,8,scenario,invented-demo\n\
                  untold,SM,1260,1650,,,scenario,invented-demo\n";
    let plan = |second: &str| {
        format!(
            "shelves:\n  a: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n  b: {{ports: {{1: {{optic: 10GBASE-LR}}}}}}\n\
             splice-cases: {{s: {{positions: 1, measured: 0 dB}}}}\ndefaults: {{uncertainty: 0 dB}}\nspans:\n  \
             - {{from: a/1, to: s/1, length: 1 km, fiber: wide, measured: 1 dB}}\n  \
             - {{from: s/1, to: b/1, length: 1 km, fiber: {second}, measured: 1 dB}}\n"
        )
    };
    let judge = |second: &str| budget(&plan(second), &[("fibers.csv", fibers)]).1;
    let said = |judged: &Value, words: &str| {
        judged["assumptions"].as_array().expect("lines").iter().any(|line| {
            line.as_str().is_some_and(|line| line.contains("`wide` meets") && line.contains(words))
        })
    };
    let narrow = judge("narrow");
    for end in 0..2 {
        for loss in ["least", "typical", "most"] {
            let found = figure(&narrow, end, &format!("/loss_db/{loss}"));
            approx::assert_abs_diff_eq!(found, 2.695_24, epsilon = 5e-5);
        }
    }
    assert!(said(&narrow, "by their nominal mode fields"), "{narrow:#}");
    let untold = judge("untold");
    approx::assert_abs_diff_eq!(figure(&untold, 0, "/loss_db/most"), 2.0, epsilon = 1e-9);
    assert!(said(&untold, "no extra loss is counted"), "{untold:#}");
    assert!(!said(&judge("wide"), ""));
}

/// Seven free legs with flat end faces, -14.7 dB each, behind 9.04 dB: 14.7 + 2 * 9.04 - 10 log10 7 =
/// 24.329 dB come back, and GPON asks for 32 dB (ITU-T G.984.2). Angled faces throw back 40 dB less.
#[test]
fn free_connectors_throw_light_back() {
    let judge = |face: &str| {
        let plan = format!(
            "{PON}defaults: {{connector: {{grade: own, polish: {face}}}, uncertainty: 0 dB}}\n\
             splitters:\n  s: {{ratio: 1x8, joint: connector, measured: 9.04 dB}}\n\
             onts:\n  home-1: {{optic: GPON-ONU-B+}}\nspans:\n  \
             - {{from: olt-1/1/1, to: s/in, length: 4 km, measured: 0 dB}}\n  \
             - {{from: s/1, to: home-1, length: 4 km, kind: drop, measured: 9 dB}}\n"
        );
        let polishes = "polish,mated_reflectance_db,open_reflectance_db,mates_with,source,provenance\n\
                        blunt,-120,-14.7,blunt,scenario,invented-demo\n\
                        slant,-120,-54.7,slant,scenario,invented-demo\n";
        let grades = "grade,least_db,typical_db,most_db,source,provenance\n\
                      own,0,0,0,scenario,invented-demo\n";
        budget(&plan, &[("polishes.csv", polishes), ("connectors.csv", grades)]).1
    };
    let blunt = judge("blunt");
    approx::assert_abs_diff_eq!(figure(&blunt, 0, "/return_loss_db"), 24.329, epsilon = 1e-3);
    let found = blunt["findings"].as_array().expect("findings").iter();
    assert_eq!(found.filter(|finding| finding["rule"] == "budget.return-loss").count(), 1);
    approx::assert_abs_diff_eq!(figure(&judge("slant"), 0, "/return_loss_db"), 64.329, epsilon = 1e-3);
}

/// A splitter of 40 dB return loss 3 dB behind the OLT: 46 dB come back.
#[test]
fn a_splitter_throws_back_what_its_row_says() {
    let judge = |included: &str| {
        let plan = format!(
            "{PON}defaults: {{connector: {{grade: own, polish: APC}}, uncertainty: 0 dB}}\nsplitters:\n  \
             s: {{ratio: 1x2, type: own, joint: connector}}\nonts:\n  home-1: {{optic: GPON-ONU-B+}}\nspans:\n  \
             - {{from: olt-1/1/1, to: s/in, length: 4 km, measured: 3 dB}}\n  \
             - {{from: s/1, to: home-1, length: 4 km, kind: drop, measured: 13 dB}}\n"
        );
        let polishes = "polish,mated_reflectance_db,open_reflectance_db,mates_with,source,provenance\n\
                        APC,-120,-120,APC,scenario,invented-demo\n";
        let grades = "grade,least_db,typical_db,most_db,source,provenance\n\
                      own,0.4,0.4,0.4,scenario,invented-demo\n";
        let splitters = format!(
            "splitter,inputs,outputs,least_db,typical_db,most_db,return_loss_db,connectors_included,source,\
             provenance\nown,1,2,3.5,3.5,3.5,40,{included},scenario,invented-demo\n"
        );
        let tables =
            [("polishes.csv", polishes), ("connectors.csv", grades), ("splitters.csv", &*splitters)];
        budget(&plan, &tables).1
    };
    // With both of its connectors: 3 + 0.4 + 3.5 + 0.4 + 13 dB; and 0.4 dB lie before the splitter.
    let counted = judge("no");
    approx::assert_abs_diff_eq!(figure(&counted, 0, "/loss_db/most"), 20.3, epsilon = 1e-9);
    approx::assert_abs_diff_eq!(figure(&counted, 0, "/return_loss_db"), 46.8, epsilon = 1e-3);
    // Their loss is part of the figures of the row.
    let included = judge("yes");
    approx::assert_abs_diff_eq!(figure(&included, 0, "/loss_db/most"), 19.5, epsilon = 1e-9);
    approx::assert_abs_diff_eq!(figure(&included, 0, "/return_loss_db"), 46.0, epsilon = 1e-3);
}

/// Legs of one splitter cannot differ by more than all splitters of the type do.
#[test]
fn uniformity_beyond_the_range_of_losses_is_bad_input() {
    let table = |uniformity: &str| {
        format!(
            "splitter,inputs,outputs,least_db,most_db,uniformity_db,source,provenance\n\
             1x4,1,4,6.5,7.3,{uniformity},scenario,invented-demo\n"
        )
    };
    let folder = tempfile::tempdir().expect("a folder");
    let shown = |uniformity: &str| {
        std::fs::write(folder.path().join("splitters.csv"), table(uniformity)).expect("a table");
        let mut program = Command::cargo_bin("spanwright").expect("the program");
        program.args(["tables", "splitters", "--tables"]).arg(folder.path()).output().expect("a run")
    };
    assert_eq!(shown("0.8").status.code(), Some(0));
    let bad = shown("0.81");
    assert_eq!(bad.status.code(), Some(2));
    let said = String::from_utf8_lossy(&bad.stderr).into_owned();
    assert!(said.contains("legs of one splitter differ by up to 0.81 dB"), "{said}");
}

/// Interfaces that state no launch less its penalty, and no channel loss, are judged by what they state:
/// the least amplitude less the penalty (-3 - 2 + 10 = 5 dB), the budget less the penalty (9 - 2 = 7 dB).
#[test]
fn amplitude_and_budget_are_used_where_nothing_better_is_stated() {
    let interfaces = "interface,lanes,gbit_s,fiber_kind,fibers,tx_nm_min,tx_nm_max,rx_nm_min,rx_nm_max,levels,\
                      tx_max_dbm,tx_oma_min_dbm,penalty_db,power_budget_db,sensitivity_dbm,sensitivity_terms,\
                      overload_dbm,reach_g652_m,source,provenance\n\
                      one,1,10,SM,2,1300,1320,1260,1360,oma,0,-3,2,9,-10,oma,3,10000,scenario,invented-demo\n\
                      two,1,10,SM,2,1300,1320,1260,1360,oma,0,-3,2,9,-10,oma,3,10000,scenario,invented-demo\n";
    let allowed = |far: &str| {
        let plan = format!(
            "shelves:\n  a: {{ports: {{1: {{optic: one}}}}}}\n  b: {{ports: {{1: {{optic: {far}}}}}}}\n\
             spans:\n  - {{from: a/1, to: b/1, length: 5 km}}\n"
        );
        figure(&budget(&plan, &[("interfaces.csv", interfaces)]).1, 0, "/budget_db/max")
    };
    approx::assert_abs_diff_eq!(allowed("two"), 5.0, epsilon = 1e-9);
    approx::assert_abs_diff_eq!(allowed("one"), 7.0, epsilon = 1e-9);
}
