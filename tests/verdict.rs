//! The verdict of the whole: nothing that is dark, unknown or at fault hides behind what passes.

use std::path::Path;

use assert_cmd::Command;
use proptest::prelude::*;
use serde_json::Value;
use spanwright::budget::{Settings, Standing, State, Verdict};
use spanwright::engine::judge;
use spanwright::plan::PortKind;
use spanwright::read::plan::from_text;

/// A village of homes on one PON, which passes: the drops of `homes`, their optics, one link beside it.
struct Village {
    optics: Vec<&'static str>,
    drops: Vec<bool>,
    feeder: bool,
    link: bool,
    /// The far port of the link, in a street cabinet.
    far: &'static str,
}

const GOOD: &str = "optic: GPON-ONU-B+";

impl Village {
    fn sound(homes: usize) -> Self {
        Self {
            optics: vec![GOOD; homes],
            drops: vec![true; homes],
            feeder: true,
            link: true,
            far: "optic: 10GBASE-LR",
        }
    }

    fn text(&self) -> String {
        let mut text = "spanwright: 1\ntitle: Village\nplaces: { hut: { kind: cabinet } }\nshelves:\n  olt-1: { slots: { 1: { card: pon-8, ports: \
                        { 1: { optic: GPON-OLT-B+ } } } } }\n  sw-a: { ports: { 1: { optic: 10GBASE-LR } } }\n  \
                        sw-b: { place: hut, ports: { 1: { FAR } } }\nsplitters: { s-1: { ratio: 1x32 } }\nonts:\n"
            .replace("FAR", self.far);
        for (home, optic) in self.optics.iter().enumerate() {
            text += &format!("  home-{home:02}: {{ {optic} }}\n");
        }
        text += "spans:\n";
        if self.feeder {
            text += "  - { from: olt-1/1/1, to: s-1/in, length: 4 km }\n";
        }
        if self.link {
            text += "  - { from: sw-a/1, to: sw-b/1, length: 2 km }\n";
        }
        for (home, _) in self.drops.iter().enumerate().filter(|(_, laid)| **laid) {
            text += &format!(
                "  - {{ from: s-1/{}, to: home-{home:02}, length: 80 m, kind: drop }}\n",
                home + 1
            );
        }
        text
    }

    fn standing(&self) -> Standing {
        let reading = from_text("village.yaml", &self.text(), None);
        assert!(!reading.is_bad_input(), "{:#?}\n{}", reading.findings, self.text());
        let settings = Settings { statistics: false, cross_check: None };
        let judged =
            judge(reading.plan, reading.tables, reading.findings, reading.sources.files(), settings)
                .unwrap_or_else(|findings| panic!("{findings:#?}"));
        let standing = judged.assessment.standing.clone();
        let of = |kind| judged.plan.ports.iter().filter(|port| port.kind == kind).count() as u32;
        assert_eq!(standing.homes.total(), of(PortKind::Ont), "every home is in one count");
        assert_eq!(standing.ports.total(), of(PortKind::Equipment), "every port is in one count");
        standing
    }

    fn budget(&self, more: &[&str]) -> (i32, String) {
        self.ask("budget", more)
    }

    fn fit(&self) -> (i32, String) {
        self.ask("fit", &[])
    }

    fn ask(&self, command: &str, more: &[&str]) -> (i32, String) {
        let folder = tempfile::tempdir().expect("a folder");
        let plan = folder.path().join("village.yaml");
        std::fs::write(&plan, self.text()).expect("a plan");
        ask(command, &plan, more)
    }
}

fn budget(plan: &Path, more: &[&str]) -> (i32, String) {
    ask("budget", plan, more)
}

fn ask(command: &str, plan: &Path, more: &[&str]) -> (i32, String) {
    let mut program = Command::cargo_bin("spanwright").expect("the program");
    let command = program.env("NO_COLOR", "1").env("COLUMNS", "200").arg(command).arg(plan).args(more);
    let output = command.output().expect("a run");
    (output.status.code().expect("an end"), String::from_utf8(output.stdout).expect("UTF-8"))
}

#[test]
fn a_sound_village_passes_and_counts_homes_links_and_ports() {
    let (code, text) = Village::sound(3).budget(&[]);
    assert_eq!(code, 0, "{text}");
    assert!(text.contains("PASS   3 homes: 3 pass; 1 link: 1 pass; 3 ports: 3 in use"), "{text}");
}

#[test]
fn a_misspelled_optic_is_not_judged() {
    let mut village = Village::sound(3);
    village.optics[1] = "optic: GPON-ONU-BB";
    let (code, text) = village.budget(&[]);
    assert_eq!(code, 1, "{text}");
    assert!(text.contains("UNKNOWN   3 homes: 1 with an unknown optic, 2 pass"), "{text}");
    assert!(text.contains("1 home with an unknown optic: `home-01` (fit.unknown-optic)"), "{text}");
}

#[test]
fn a_home_without_an_optic_is_not_judged() {
    let mut village = Village::sound(3);
    village.optics[0] = "face: SC/APC";
    let (code, text) = village.budget(&[]);
    assert_eq!(code, 1, "{text}");
    assert!(text.contains("UNKNOWN   3 homes: 1 without an optic, 2 pass"), "{text}");
}

#[test]
fn forgotten_drops_are_counted() {
    let mut village = Village::sound(4);
    (village.drops[1], village.drops[3]) = (false, false);
    let (code, text) = village.budget(&[]);
    assert_eq!(code, 1, "{text}");
    assert!(text.contains("UNKNOWN   4 homes: 2 without a fiber, 2 pass"), "{text}");
    assert!(text.contains("2 homes without a fiber: `home-01` and 1 more (plan.unconnected)"), "{text}");
}

#[test]
fn a_pon_that_reaches_nobody_is_a_row_that_fails() {
    let mut village = Village::sound(2);
    village.drops = vec![false, false];
    let (code, text) = village.budget(&["--format", "json"]);
    assert_eq!(code, 1);
    let json: Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(json["verdict"], "fail");
    let pon = &json["pons"][0];
    assert_eq!((pon["id"].as_str(), pon["ends"].as_u64()), (Some("olt-1/1/1"), Some(0)));
    assert_eq!(
        (pon["verdict"].as_str(), &pon["why"]),
        (Some("fail"), &serde_json::json!(["budget.no-light"]))
    );
    assert_eq!(json["counts"]["ports"]["without light"], 1);
}

/// A row is the worse of its light and of the rules, in every face: a module for indoor temperatures in a
/// street cabinet is no pass although its light closes.
#[test]
fn what_the_rules_say_of_a_port_is_the_verdict_of_its_row() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("shelf.yaml");
    let text = "spanwright: 1\nplaces: { hut: { kind: cabinet } }\nshelves:\n  \
                a: { place: hut, ports: { 1: { optic: 10GBASE-LR, temperature: C } } }\n  \
                b: { ports: { 1: { optic: 10GBASE-LR } } }\nspans:\n  \
                - { from: a/1, to: b/1, length: 2 km }\n";
    std::fs::write(&plan, text).expect("a plan");
    let (code, json) = budget(&plan, &["--format", "json"]);
    assert_eq!(code, 1);
    let json: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["verdict"], "fail");
    for end in json["ends"].as_array().expect("ends") {
        assert_eq!((end["verdict"].as_str(), end["light"].as_str()), (Some("fail"), Some("pass")));
        assert_eq!(end["why"], serde_json::json!(["fit.temperature"]));
    }
    assert_eq!(json["links"][0]["verdict"], "fail");
    let (_, csv) = budget(&plan, &["--format", "csv"]);
    assert!(csv.lines().skip(1).all(|line| line.contains(",fail,fit.temperature,pass,")), "{csv}");
    let (_, table) = budget(&plan, &[]);
    let link = table.lines().find(|line| line.starts_with("a/1 to b/1")).expect("the link");
    assert!(link.contains("fail") && link.ends_with("fit.temperature"), "{link}");
    // The port schedule, and what `fit` says of the same port.
    let sheets = folder.path().join("sheets");
    let mut schedule = Command::cargo_bin("spanwright").expect("the program");
    schedule.arg("schedule").arg(&plan).arg("-o").arg(&sheets).output().expect("a run");
    let ports = std::fs::read_to_string(sheets.join("ports.csv")).expect("the sheet");
    assert!(ports.lines().skip(1).all(|line| line.contains(",fail,fit.temperature,")), "{ports}");
    let mut fit = Command::cargo_bin("spanwright").expect("the program");
    let fit = fit.arg("fit").arg(&plan).output().expect("a run");
    assert!(String::from_utf8_lossy(&fit.stdout).starts_with("NO-GO"));
}

#[test]
fn homes_that_are_only_passed_are_stated_and_can_be_judged_with_an_assumed_optic() {
    let mut village = Village::sound(4);
    village.optics[2] = "connected: no";
    village.optics[3] = "connected: no";
    village.drops[3] = false;
    let (code, text) = village.budget(&[]);
    assert_eq!(code, 0, "{text}");
    assert!(text.contains("PASS   4 homes: 2 pass, 2 not connected"), "{text}");
    assert!(!text.contains("fit.no-far-optic") && !text.contains("plan.unconnected"), "{text}");

    let (code, json) = village.budget(&["--assume-optic", "GPON-ONU-B+", "--format", "json"]);
    assert_eq!(code, 0, "{json}");
    let json: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["counts"]["homes"], serde_json::json!({ "pass": 3, "not connected": 1 }));
    let assumed =
        json["ends"].as_array().expect("ends").iter().filter(|end| end["assumed_optic"] == true);
    assert_eq!(assumed.map(|end| end["id"].as_str()).collect::<Vec<_>>(), [Some("home-02"); 2]);
    let spare = &json["spare_legs"][0];
    assert_eq!((spare["splitter"].as_str(), spare["free"].as_u64()), (Some("s-1"), Some(29)));
    assert_eq!(spare["verdict"], "pass");
    // A spare leg has the margin of a home without its drop: 80 m of fiber and nothing else.
    let home = json["ends"].as_array().expect("ends").iter().filter(|end| end["id"] == "home-00");
    let margin =
        home.map(|end| end["margin_db"].as_f64().expect("a margin")).fold(f64::INFINITY, f64::min);
    let more = spare["margin_db"].as_f64().expect("a margin") - margin;
    assert!((0.0..0.1).contains(&more), "{more}");
}

#[test]
fn a_link_whose_optics_have_nothing_in_common_is_counted() {
    let mut village = Village::sound(1);
    village.far = "optic: GPON-OLT-B+";
    let (code, text) = village.budget(&[]);
    assert_eq!(code, 1);
    assert!(text.contains("FAIL   1 home: 1 pass; 1 link: 1 without light"), "{text}");
}

#[test]
fn an_assumed_optic_that_nobody_knows_is_told() {
    let (code, text) = Village::sound(2).budget(&["--assume-optic", "GPON-ONU-BB"]);
    assert_eq!(code, 1, "{text}");
    assert!(text.contains("UNKNOWN   2 homes: 2 pass"), "{text}");
    assert!(text.contains("no table knows the assumed optic `GPON-ONU-BB`"), "{text}");
    assert!(text.contains("did you mean `GPON-ONU-B"), "{text}");
}

#[test]
fn a_word_that_is_neither_yes_nor_no_is_refused() {
    let mut village = Village::sound(2);
    village.optics[1] = "connected: perhaps";
    assert_eq!(village.budget(&[]).0, 2);
}

#[derive(Debug, Clone, Copy)]
enum Harm {
    NoOptic,
    UnknownOptic,
    NoDrop,
    NoFeeder,
    NoLink,
    UnlikeLink,
    ColdModule,
}

fn harm() -> impl Strategy<Value = Harm> {
    use Harm::{ColdModule, NoDrop, NoFeeder, NoLink, NoOptic, UnknownOptic, UnlikeLink};
    prop_oneof![
        Just(NoOptic),
        Just(UnknownOptic),
        Just(NoDrop),
        Just(NoFeeder),
        Just(NoLink),
        Just(UnlikeLink),
        Just(ColdModule),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    /// Take one datum away, or darken one end, and the whole is no pass any more.
    #[test]
    fn no_pass_with_one_datum_less(homes in 1usize..12, at in 0usize..12, harm in harm()) {
        let mut village = Village::sound(homes);
        prop_assert_eq!(village.standing().verdict, Some(Verdict::Pass));
        let at = at % homes;
        match harm {
            Harm::NoOptic => village.optics[at] = "face: SC/APC",
            Harm::UnknownOptic => village.optics[at] = "optic: GPON-ONU-Q",
            Harm::NoDrop => village.drops[at] = false,
            Harm::NoFeeder => village.feeder = false,
            Harm::NoLink => village.link = false,
            Harm::UnlikeLink => village.far = "optic: 1000BASE-SX",
            // A module for indoor temperatures in a street cabinet: its light closes all the same.
            Harm::ColdModule => village.far = "optic: 10GBASE-LR, temperature: C",
        }
        let standing = village.standing();
        prop_assert!(standing.verdict >= Some(Verdict::Unknown), "{harm:?}: {standing:?}");
        let judged = |state: State| matches!(state, State::Judged(Verdict::Pass));
        prop_assert!(standing.port_states.iter().any(|state| !judged(*state)));
        let (code, text) = village.budget(&[]);
        prop_assert_eq!(code, 1);
        let first = text.lines().find(|line| line.starts_with("verdict")).unwrap_or_default();
        prop_assert!(!first.contains("PASS") && !first.contains("MARGINAL"), "{harm:?}: {first}");
        let (code, text) = village.fit();
        prop_assert!(code != 0 && !text.starts_with("GO"), "{harm:?}: {text}");
    }
}

/// The reserve is a number for programs, and so is what is left once it is kept (plain arithmetic).
#[test]
fn the_reserve_and_what_is_left_of_the_margin_are_numbers() {
    let (_, json) = Village::sound(2).budget(&["--reserve", "1.5 dB", "--format", "json"]);
    let json: Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["reserve_db"], 1.5);
    for end in json["ends"].as_array().expect("ends") {
        let of = |key: &str| end[key].as_f64().expect("a number");
        assert!((of("margin_db") - 1.5 - of("margin_after_reserve_db")).abs() < 1e-9, "{end}");
    }
}

/// What is not shown is counted by what it is: more room is not always enough room.
#[test]
fn ends_that_are_not_shown_and_do_not_pass_are_counted() {
    let (_, text) = Village::sound(14).budget(&["--reserve", "30 dB"]);
    assert!(text.contains("… and 10 more ends, 10 of them not a pass (--all shows them)"), "{text}");
    let (_, text) = Village::sound(14).budget(&[]);
    assert!(text.contains("… and 10 more ends, all of them pass (--all shows them)"), "{text}");
}
