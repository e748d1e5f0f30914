//! The shipped examples, whole: what they say is kept as golden text, and their planted failures show.

use assert_cmd::Command;
use serde_json::Value;

fn run(args: &[&str]) -> (i32, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").env("COLUMNS", "110");
    let output = command.args(args).output().expect("it runs");
    let text = String::from_utf8(output.stdout).expect("UTF-8");
    assert!(output.stderr.is_empty(), "{}", String::from_utf8_lossy(&output.stderr));
    (output.status.code().expect("it ended by itself"), text)
}

/// Exit code and text of an example's table.
macro_rules! golden {
    ($($name:ident: $plan:literal => $code:literal;)+) => {
        $(
            #[test]
            fn $name() {
                let (code, text) = run(&["budget", concat!("examples/", $plan)]);
                assert_eq!(code, $code);
                insta::assert_snapshot!(text);
            }
        )+
    };
}

golden! {
    tap_road_copied: "tap-road/copied.yaml" => 0;
    tap_road_all_90_10: "tap-road/all-90-10.yaml" => 1;
    tap_road_all_80_20: "tap-road/all-80-20.yaml" => 1;
    tap_road_optimum: "tap-road/optimum.yaml" => 0;
    tap_road_optimum_xgs: "tap-road/optimum-xgs.yaml" => 0;
    suburb_today: "suburban-overlay/gpon.yaml" => 1;
    suburb_overlay: "suburban-overlay/overlay.yaml" => 1;
    suburb_overlay_n2: "suburban-overlay/overlay-n2.yaml" => 0;
    metro_links: "metro-ring/links.yaml" => 1;
    metro_ring: "metro-ring/ring.yaml" => 1;
    metro_office: "metro-ring/office.yaml" => 0;
}

fn json(plan: &str) -> Value {
    let (_, text) = run(&["budget", plan, "--format", "json"]);
    serde_json::from_str(&text).expect("JSON")
}

fn ends(json: &Value) -> impl Iterator<Item = &Value> {
    json["ends"].as_array().expect("ends").iter()
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

/// Computed apart from the engine, from the scenario's inputs alone: the copied taps fail upstream at
/// terminal 7 by 0.35 dB, and downstream, where everybody looked, they pass.
#[test]
fn the_copied_taps_fail_only_where_nobody_looked() {
    let json = json("examples/tap-road/copied.yaml");
    let worst = |direction: &str| {
        let these = ends(&json).filter(|end| end["direction"] == direction);
        these.map(|end| number(&end["loss_db"]["most"])).fold(0.0, f64::max)
    };
    approx::assert_abs_diff_eq!(worst("upstream"), 28.35, epsilon = 0.006);
    approx::assert_abs_diff_eq!(worst("downstream"), 27.17, epsilon = 0.006);
    let failing: Vec<&Value> = ends(&json).filter(|end| number(&end["margin_db"]) < 0.0).collect();
    assert!(failing.iter().all(|end| end["direction"] == "upstream"));
    assert!(failing.iter().all(|end| end["id"].as_str().is_some_and(|id| id.starts_with("house-7-"))));
    assert_eq!(failing.len(), 4);
}

/// Every house of both access examples is there, in both directions, for every system it is to have.
#[test]
fn the_access_examples_are_complete() {
    let houses = |plan: &str| {
        let json = json(plan);
        let mut ids: Vec<String> =
            ends(&json).map(|end| end["id"].as_str().expect("an id").to_string()).collect();
        let ends = ids.len();
        ids.sort();
        ids.dedup();
        (ids.len(), ends)
    };
    assert_eq!(houses("examples/tap-road/copied.yaml"), (32, 64));
    assert_eq!(houses("examples/suburban-overlay/gpon.yaml"), (132, 264));
    assert_eq!(houses("examples/suburban-overlay/overlay.yaml"), (132, 528));
}

/// The ends of every end's table and its JSON agree, rounded as the table rounds.
#[test]
fn table_and_json_agree() {
    let plan = "examples/suburban-overlay/overlay.yaml";
    let (_, table) = run(&["budget", plan, "--all"]);
    let json = json(plan);
    let mut shown: Vec<String> = Vec::new();
    for end in ends(&json) {
        let id = end["id"].as_str().expect("an id");
        let direction = end["direction"].as_str().expect("a direction");
        let nm = number(&end["wavelength_nm"]);
        let margin = (number(&end["margin_db"]) * 100.0 + 1e-7).floor() / 100.0 + 0.0;
        let line = table.lines().find(|line| {
            let words: Vec<&str> = line.split_whitespace().collect();
            words.first() == Some(&id)
                && words.get(1) == Some(&direction)
                && words.get(2) == Some(&format!("{nm}").as_str())
        });
        let line = line.unwrap_or_else(|| panic!("{id} {direction} {nm} is in the table"));
        if !line.split_whitespace().any(|word| word == format!("{margin:.2}")) {
            shown.push(format!("{id} {direction}: {margin:.2} not in `{line}`"));
        }
    }
    assert!(shown.is_empty(), "{}", shown.join("\n"));
}

/// A sampled joint yield lies within four standard errors of the computed one.
#[test]
fn the_cross_check_agrees() {
    let plan = "examples/suburban-overlay/overlay.yaml";
    let (_, text) = run(&[
        "budget",
        plan,
        "--reserve",
        "0 dB",
        "--cross-check",
        "40000",
        "--seed",
        "7",
        "--format",
        "json",
    ]);
    let json: Value = serde_json::from_str(&text).expect("JSON");
    for pon in json["pons"].as_array().expect("PONs") {
        let computed = number(&pon["joint_yield"]);
        let check = &pon["cross_check"];
        let error = number(&check["standard_error"]).max(1.0 / 40_000.0);
        assert!((computed - number(&check["estimate"])).abs() <= 4.0 * error, "{pon}");
    }
}
