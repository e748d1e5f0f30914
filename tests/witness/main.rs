//! One plan added up by hand, from its written form to its statistics.
//!
//! Source: `add_up.py` beside this file (textbook sums of independent variables; sources named there),
//! whose results are `expected.json`.

use approx::assert_abs_diff_eq;
use assert_cmd::Command;
use serde_json::Value;

/// A figure printed with six decimals.
const PRINTED: f64 = 1e-6;
/// The engine spends repairs at their mean on the first day; their spread, 0.035 dB beside 0.34 dB, then
/// shifts the share of ends that get too much light by less than this.
const REPAIRS_ON_THE_FIRST_DAY: f64 = 2e-3;

fn judged(more: &[&str]) -> Value {
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/witness/plan.yaml");
    let output = Command::cargo_bin("spanwright")
        .expect("the program")
        .args(["budget", plan, "--format", "json"])
        .args(more)
        .output()
        .expect("a run");
    assert_eq!(output.status.code(), Some(1), "{}", String::from_utf8_lossy(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("JSON")
}

fn expected() -> Value {
    serde_json::from_str(include_str!("expected.json")).expect("JSON")
}

/// Calls `compare` with each end by hand and the same end judged.
fn for_each_end(judged: &Value, mut compare: impl FnMut(&str, &Value, &Value)) {
    let by_hand = expected();
    let by_hand = by_hand["ends"].as_object().expect("ends");
    let found = judged["ends"].as_array().expect("ends");
    assert_eq!(found.len(), by_hand.len());
    for (name, hand) in by_hand {
        let (home, way) = name.split_once(' ').expect("home and way");
        let direction = if way == "down" { "downstream" } else { "upstream" };
        let end = found
            .iter()
            .find(|end| end["id"] == home && end["direction"] == direction)
            .unwrap_or_else(|| panic!("{name} is not judged"));
        compare(name, hand, end);
    }
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

#[test]
fn losses_and_margins() {
    for_each_end(&judged(&[]), |name, hand, end| {
        println!("{name}");
        for figure in ["least", "typical", "most", "spread", "normal_quantile"] {
            assert_abs_diff_eq!(
                number(&end["loss_db"][figure]),
                number(&hand[figure]),
                epsilon = PRINTED
            );
        }
        assert_abs_diff_eq!(number(&end["margin_db"]), number(&hand["margin"]), epsilon = PRINTED);
        assert_abs_diff_eq!(number(&end["headroom_db"]), number(&hand["headroom"]), epsilon = PRINTED);
    });
}

#[test]
fn quantiles_and_yields() {
    for_each_end(&judged(&[]), |name, hand, end| {
        println!("{name}");
        let bound = number(&end["loss_db"]["quantile_error"]);
        assert!(bound < 0.005);
        let quantile = number(&end["loss_db"]["quantile"]);
        assert_abs_diff_eq!(quantile, number(&hand["quantile"]), epsilon = bound + PRINTED);
        let fails = number(&hand["too_much_loss"]) + number(&hand["too_much_light"]);
        assert_abs_diff_eq!(number(&end["yield"]), 1.0 - fails, epsilon = REPAIRS_ON_THE_FIRST_DAY);
    });
}

#[test]
fn joint_yields() {
    let hand = &expected()["joint"];
    let judged = judged(&[]);
    let pon = &judged["pons"][0];
    for (found, by_hand) in [
        (&pon["direction_yields"]["downstream"], "downstream"),
        (&pon["direction_yields"]["upstream"], "upstream"),
        (&pon["joint_yield"], "both"),
        (&pon["joint_yield_with_reserve"], "both_with_reserve"),
    ] {
        assert_abs_diff_eq!(number(found), number(&hand[by_hand]), epsilon = 1e-6);
    }
}

/// Connectors at the equipment: two mated pairs more where they count, none where they do not
/// (ITU-T G.984.2 counts a budget from S/R to R/S, the equipment's own connectors apart; from memory).
#[test]
fn connectors_at_the_equipment() {
    for_each_end(&judged(&["--end-connectors", "counted"]), |name, hand, end| {
        println!("{name}");
        for (figure, pair) in [("least", 0.05), ("typical", 0.25), ("most", 0.50)] {
            let both = number(&hand[figure]) + 2.0 * pair;
            assert_abs_diff_eq!(number(&end["loss_db"][figure]), both, epsilon = PRINTED);
        }
    });
    for_each_end(&judged(&["--end-connectors", "excluded"]), |name, hand, end| {
        println!("{name}");
        assert_abs_diff_eq!(number(&end["loss_db"]["most"]), number(&hand["most"]), epsilon = PRINTED);
    });
}

/// A figure is never printed better than it is: margin and headroom are cut down, losses up.
#[test]
fn printed_margins_are_never_better_than_they_are() {
    let plan = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/witness/plan.yaml");
    let run = Command::cargo_bin("spanwright")
        .expect("the program")
        .args(["budget", plan, "--end", "home-1"])
        .output()
        .expect("a run");
    let text = String::from_utf8(run.stdout).expect("UTF-8");
    let figures = |word: &str| -> Vec<f64> {
        let lines = text.lines().map(str::trim_start).filter(|line| line.starts_with(word));
        let figures = lines.filter_map(|line| line.split_whitespace().nth(1)?.parse().ok());
        figures.collect()
    };
    let by_hand = expected();
    let of = |figure: &str| {
        ["down", "up"].map(|way| number(&by_hand["ends"][format!("home-1 {way}")][figure]))
    };
    for figure in ["margin", "headroom"] {
        let mut cut = of(figure).map(|exact| (exact * 100.0).floor() / 100.0);
        let mut printed = figures(figure);
        cut.sort_by(f64::total_cmp);
        printed.sort_by(f64::total_cmp);
        assert_eq!(printed, cut, "{figure} in\n{text}");
    }
}
