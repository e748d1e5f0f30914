//! `spanwright fit` end to end: exit codes, what it takes, the three faces, and typical answers as they
//! are printed.

use std::path::{Path, PathBuf};

use assert_cmd::Command;
use serde_json::Value;

/// What the program printed, and how it ended.
struct Ran {
    code: i32,
    out: String,
    err: String,
}

fn run(args: &[&str]) -> Ran {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env_remove("COLUMNS").env("NO_COLOR", "1");
    let output = command.args(args).output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    let code = output.status.code().expect("it ended by itself");
    Ran { code, out: text(output.stdout), err: text(output.stderr) }
}

fn fit(args: &[&str]) -> Ran {
    run(&[&["fit"], args].concat())
}

fn json(args: &[&str]) -> Value {
    let ran = fit(&[args, &["--format", "json"]].concat());
    serde_json::from_str(&ran.out).unwrap_or_else(|error| panic!("{error}: {}", ran.err))
}

/// The rows of a CSV, heads first.
fn rows(args: &[&str]) -> Vec<Vec<String>> {
    let ran = fit(&[args, &["--format", "csv"]].concat());
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(ran.out.as_bytes());
    reader.records().map(|row| row.expect("a row").iter().map(String::from).collect()).collect()
}

/// A folder with files of a check.
struct Desk(tempfile::TempDir);

impl Desk {
    fn new() -> Self {
        Self(tempfile::tempdir().expect("a folder"))
    }

    fn file(&self, name: &str, text: &str) -> String {
        let path: PathBuf = self.0.path().join(name);
        std::fs::write(&path, text).expect("written");
        path.to_str().expect("a name").to_string()
    }

    /// An invented equipment room: a sound link, one that is too hot, a port without a way, a spare one.
    fn plan(&self) -> String {
        self.file(
            "room.yaml",
            "spanwright: 1\ntitle: Alder Reach, equipment room\n\
             places: {alder-co: {kind: central-office}}\nshelves:\n  \
             sw-1:\n    place: alder-co\n    slots:\n      1:\n        card: uplink-4\n        \
             ports:\n          \
             1: {optic: 10GBASE-LR, form: SFP+, temperature: C, power: 1.0 W}\n          \
             2: {optic: 10GBASE-ER, form: SFP+, temperature: C, power: 1.5 W}\n          \
             3: {optic: 10GBASE-LR}\n          4: {}\n  \
             sw-2:\n    place: alder-co\n    slots:\n      1:\n        card: uplink-4\n        \
             ports:\n          \
             1: {optic: 10GBASE-LR, form: SFP+, temperature: C, power: 1.0 W}\n          \
             2: {optic: 10GBASE-ER, form: SFP+, temperature: C, power: 1.5 W}\nspans:\n  \
             - {from: sw-1/1/1, to: sw-2/1/1, length: 5 km, connectors: 2}\n  \
             - {from: sw-1/1/2, to: sw-2/1/2, length: 40 m, connectors: 2}\n",
        )
    }
}

fn dump(name: &str) -> String {
    let path = Path::new("tests/module_memory/dumps").join(name);
    path.to_str().expect("a name").to_string()
}

/// 10GBASE-ER facing 10GBASE-LR over two patch cords in one room.
const ER_TO_LR: [&str; 12] = [
    "--cage",
    "SFP+",
    "--optic",
    "10GBASE-ER",
    "--far-optic",
    "10GBASE-LR",
    "--fiber",
    "G.652.D",
    "--length",
    "40 m",
    "--connectors",
    "2",
];

#[test]
fn exit_codes_tell_go_no_go_bad_input_and_cannot_judge_apart() {
    let lr = ["--optic", "10GBASE-LR", "--length", "2 km"];
    assert_eq!(fit(&lr).code, 0);
    assert_eq!(fit(&ER_TO_LR).code, 1);
    assert_eq!(fit(&["--optic", "10GBASE-LR", "--length", "2"]).code, 2);
    assert_eq!(fit(&["--optic", "10GBASE-LR"]).code, 3);
    assert_eq!(fit(&["--optic", "10GBASE-LQ", "--length", "2 km"]).code, 3);
    let plan = Desk::new();
    let file = plan.plan();
    assert_eq!(fit(&[&file]).code, 1, "one NO-GO makes the plan one");
    for (port, code) in [("sw-1/1/1", 0), ("sw-1/1/2", 1), ("sw-1/1/3", 3), ("sw-1/1/4", 3)] {
        assert_eq!(fit(&[&file, "--port", port]).code, code, "{port}");
    }
}

#[test]
fn the_answer_stands_in_the_first_line() {
    for (args, first) in [
        (&ER_TO_LR[..], "NO-GO   10GBASE-ER in `A`, facing 10GBASE-LR in `B`"),
        (&["--optic", "10GBASE-LR", "--length", "2 km"], "GO   10GBASE-LR in `A`, facing"),
        (&["--optic", "10GBASE-LR"], "CANNOT JUDGE   10GBASE-LR in `A`"),
    ] {
        let out = fit(args).out;
        assert!(out.starts_with(first), "{out}");
        assert!(out.contains("Invisible laser light"), "{out}");
    }
}

#[test]
fn a_port_of_a_plan_with_another_optic_or_the_module_in_hand() {
    let desk = Desk::new();
    let plan = desk.plan();
    let port = ["--port", "sw-1/1/2"];
    let stands = json(&[&[plan.as_str()][..], &port].concat());
    assert_eq!(stands["because"].as_str().map(|why| why.contains("5.00 dB too much")), Some(true));
    let other = json(&[&[plan.as_str()][..], &port, &["--optic", "10GBASE-LR"]].concat());
    assert_eq!(other["what"], "10GBASE-LR in `sw-1/1/2`, facing 10GBASE-ER in `sw-2/1/2`");
    let hand = dump("sfpp_10gbase_lr.hex");
    let in_hand = fit(&[&plan, "--port", "sw-1/1/1", "--memory", &hand]);
    assert_eq!(in_hand.code, 0, "{}", in_hand.out);
    let wrong = dump("qsfp28_100gbase_lr4.txt");
    let wrong = fit(&[&plan, "--port", "sw-1/1/1", "--memory", &wrong]);
    assert_eq!((wrong.code, wrong.out.contains("fit.wrong-cage")), (1, true), "{}", wrong.out);
    let spare = json(&[&plan, "--port", "sw-1/1/4"]);
    assert_eq!(spare["because"], "the port has no optic");
}

#[test]
fn an_unknown_port_is_refused_with_the_nearest() {
    let desk = Desk::new();
    let ran = fit(&[&desk.plan(), "--port", "sw-1/1/9"]);
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    assert!(ran.err.contains("did you mean `sw-1/1/1`?"), "{}", ran.err);
}

/// What is said on the command line of a way that stands in the plan would be passed over.
#[test]
fn the_way_of_a_plan_is_not_described_twice() {
    let desk = Desk::new();
    let plan = desk.plan();
    for more in [
        &["--pad", "7 dB"][..],
        &["--length", "40 m"],
        &["--far-optic", "10GBASE-LR"],
        &["--far-cage", "SFP+"],
        &["--connectors", "2"],
        &["--plugs", "LC/UPC"],
    ] {
        let ran = fit(&[&[plan.as_str(), "--port", "sw-1/1/2"], more].concat());
        assert_eq!((ran.code, ran.out.as_str()), (2, ""), "{more:?}");
        assert!(ran.err.contains("stand in the plan"), "{}", ran.err);
    }
    let whole = fit(&[&plan, "--optic", "10GBASE-LR"]);
    assert_eq!(whole.code, 2);
    assert!(whole.err.contains("--port ID"), "{}", whole.err);
}

#[test]
fn json_has_one_shape_for_every_answer() {
    for args in [&ER_TO_LR[..], &["--optic", "10GBASE-LR"], &["--optic", "10GBASE-LQ"]] {
        let answer = json(args);
        assert_eq!(
            (answer["shape"].as_str(), answer["version"].as_u64()),
            (Some("spanwright.fit"), Some(1))
        );
        for key in ["ends", "findings", "not_checked", "pads", "alternatives", "assumed", "cautions"] {
            assert!(answer[key].is_array(), "{key} of {args:?}");
        }
        for key in ["go", "port", "what", "because"] {
            assert!(answer[key].is_string(), "{key} of {args:?}");
        }
        assert_eq!(answer["cautions"].as_array().map(Vec::len), Some(2));
    }
    let desk = Desk::new();
    let list = json(&[&desk.plan()]);
    assert_eq!(
        (list["shape"].as_str(), list["go"].as_str()),
        (Some("spanwright.fit-list"), Some("NO-GO"))
    );
    let ports: Vec<&str> =
        list["ports"].as_array().expect("ports").iter().filter_map(|one| one["port"].as_str()).collect();
    assert_eq!(ports, ["sw-1/1/2", "sw-2/1/2", "sw-1/1/3", "sw-1/1/1", "sw-2/1/1"], "worst first");
}

/// The pads of the JSON are those of the table: 5 dB into 10GBASE-LR, 3 dB into 10GBASE-ER, with half a
/// decibel of tolerance (worked in `tests/fit/pads.rs`).
#[test]
fn faces_agree() {
    let answer = json(&ER_TO_LR);
    let pads: Vec<(f64, f64)> = answer["pads"]
        .as_array()
        .expect("pads")
        .iter()
        .map(|pad| (pad["pad_db"].as_f64().expect("dB"), pad["tolerance_db"].as_f64().expect("dB")))
        .collect();
    assert_eq!(pads, [(3.0, 0.5), (5.0, 0.5)]);
    let table = fit(&ER_TO_LR).out;
    for pad in answer["pads"].as_array().expect("pads") {
        let says = pad["says"].as_str().expect("words").to_string();
        let folded = table.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(folded.contains(&says), "{says}");
    }
    let rows = rows(&ER_TO_LR);
    let kinds = |kind: &str| rows.iter().filter(|row| row[2] == kind).count();
    let length = |key: &str| answer[key].as_array().map_or(0, Vec::len);
    assert_eq!(kinds("answer"), 1);
    assert_eq!(kinds("pad"), length("pads"));
    assert_eq!(kinds("alternative"), length("alternatives"));
    assert_eq!(kinds("not checked"), length("not_checked"));
    assert_eq!(kinds("error") + kinds("warning") + kinds("note"), length("findings"));
    assert!(rows.iter().skip(1).all(|row| row[1] == "NO-GO" && row.len() == rows[0].len()));
}

/// Text that a spreadsheet could take for a formula is neutralised.
#[test]
fn csv_cells_are_no_formulas() {
    for name in ["=1+1", "+1", "-1+2", "@SUM(A1)", "\t=1+1"] {
        let option = format!("--optic={name}");
        for row in rows(&[&option, "--length", "1 km"]).iter().skip(1) {
            for cell in &row[..5] {
                let formula = cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
                assert!(!formula, "{cell:?} of {name:?}");
            }
        }
    }
    let desk = Desk::new();
    let plan = desk.file(
        "formula.yaml",
        "spanwright: 1\nshelves:\n  a: {ports: {1: {optic: \"=1+1\"}}}\n  \
         b: {ports: {1: {optic: 10GBASE-LR}}}\n\
         spans: [{from: a/1, to: b/1, length: 1 km}]\n",
    );
    let rows = rows(&[&plan]);
    assert!(rows.len() > 2 && rows.iter().flatten().all(|cell| !cell.starts_with('=')), "{rows:?}");
}

#[test]
fn stock_names_every_fault_with_its_line() {
    let desk = Desk::new();
    let er = ["--optic", "10GBASE-ER", "--length", "10 m", "--stock"];
    let bad = desk.file(
        "bad.csv",
        "item,count,tolerance\n10GBASE-LR,2,\n7 dB,some,\n10GBASE-LQ,1,\n3 dBm,1,\n8 dB,1,5\n",
    );
    let ran = fit(&[&er[..], &[&bad]].concat());
    assert_eq!((ran.code, ran.out.as_str()), (2, ""));
    for place in ["bad.csv:3", "bad.csv:4", "bad.csv:5", "bad.csv:6"] {
        assert!(ran.err.contains(place), "{place}: {}", ran.err);
    }
    assert!(!ran.err.contains("bad.csv:2"), "{}", ran.err);
    assert!(ran.err.contains("did you mean `10GBASE-LR`"), "{}", ran.err);
    let headless = desk.file("headless.csv", "itm,count\n10GBASE-LR,2\n");
    let ran = fit(&[&er[..], &[&headless]].concat());
    assert_eq!((ran.code, ran.err.contains("is it the one called `itm`?")), (2, true), "{}", ran.err);
    let none = fit(&[&er[..], &["no-such-stock.csv"]].concat());
    assert_eq!((none.code, none.err.contains("no-such-stock.csv")), (2, true));
}

/// Two 10GBASE-ER in one room need 5 dB and stand 10.9 dB (operators' notes; clause 52): of a stock of 5
/// and 10 dB neither will do, for 5 dB may be 4.5 and 10 dB with its joint 11.5; 7 dB will.
#[test]
fn stock_limits_pads_and_optics() {
    let desk = Desk::new();
    let er = ["--optic", "10GBASE-ER", "--length", "0 m", "--stock"];
    let with = |name: &str, text: &str| {
        let file = desk.file(name, text);
        json(&[&er[..], &[&file]].concat())
    };
    let both = with("both.csv", "item\n5 dB\n10 dB\n10GBASE-ZR\n");
    assert_eq!(both["pads"][0]["pad_db"], Value::Null);
    let says = both["pads"][0]["says"].as_str().expect("words");
    assert!(says.contains("none in stock fits between 5.00 dB and 10.40 dB"), "{says}");
    let seven = with("seven.csv", "item,count\n5 dB,9\n7 dB,1\n6 dB,0\n10GBASE-LR,4\n");
    assert_eq!(seven["pads"][0]["pad_db"], 7.0);
    let near: Vec<&str> = seven["alternatives"]
        .as_array()
        .expect("alternatives")
        .iter()
        .filter_map(|one| one["near"].as_str())
        .collect();
    assert!(near.contains(&"10GBASE-LR"));
    assert!(near.iter().all(|near| ["10GBASE-LR", "10GBASE-ER"].contains(near)), "{near:?}");
}

#[test]
fn what_is_asked_must_be_said() {
    let nothing = fit(&[]);
    assert_eq!((nothing.code, nothing.err.contains("--optic NAME")), (2, true), "{}", nothing.err);
    let path = run(&["path", "--optic", "10GBASE-LR"]);
    assert_eq!((path.code, path.err.contains("--length <LENGTH>")), (2, true), "{}", path.err);
    let path = run(&["path", "--length", "1 km"]);
    assert_eq!((path.code, path.err.contains("--class <CLASS>")), (2, true), "{}", path.err);
    let unknown =
        fit(&["--optic", "10GBASE-LR", "--cage", "SFPX", "--fec", "rs", "--far-face", "LX/UPC"]);
    assert_eq!(unknown.code, 2);
    for words in ["`SFPX`", "`rs`", "`LX`"] {
        assert!(unknown.err.contains(words), "{words}: {}", unknown.err);
    }
    let two = fit(&["--memory", &dump("sfpp_10gbase_lr.hex"), "--optic", "10GBASE-LR"]);
    assert_eq!(two.code, 2);
}

#[test]
fn color_is_used_only_when_asked_for() {
    assert!(!fit(&ER_TO_LR).out.contains('\u{1b}'));
    assert!(fit(&[&ER_TO_LR[..], &["--color", "always"]].concat()).out.contains('\u{1b}'));
    assert!(!fit(&[&ER_TO_LR[..], &["--color", "never"]].concat()).out.contains('\u{1b}'));
}

#[test]
fn results_are_written_whole() {
    let desk = Desk::new();
    let file = desk.0.path().join("answer.json");
    let out = ["--format", "json", "--out", file.to_str().expect("a name")];
    let ran = fit(&[&ER_TO_LR[..], &out].concat());
    assert_eq!((ran.code, ran.out.as_str()), (1, ""), "the exit code is that of the answer");
    let text = std::fs::read_to_string(&file).expect("the file");
    assert!(serde_json::from_str::<Value>(&text).is_ok());
}

/// An answer as it is printed, without the place of the files.
fn printed(args: &[&str]) -> String {
    let ran = fit(args);
    format!("exit {}\n\n{}", ran.code, ran.out)
}

#[test]
fn er_facing_lr_in_one_room() {
    insta::assert_snapshot!(printed(&ER_TO_LR));
}

#[test]
fn a_sound_link() {
    let args = ["--cage", "SFP+", "--form", "SFP+", "--rate", "10G", "--optic", "10GBASE-LR"];
    let way = ["--length", "8 km", "--connectors", "4", "--splices", "2"];
    insta::assert_snapshot!(printed(&[&args[..], &way].concat()));
}

#[test]
fn a_module_in_hand_that_does_not_belong() {
    let hand = dump("sfp_1000base_bx10u_dark.hex");
    let args =
        ["--memory", &hand, "--cage", "SFP+", "--far-optic", "1000BASE-BX10-U", "--length", "5 km"];
    insta::assert_snapshot!(printed(&args));
}

#[test]
fn an_olt_next_door() {
    let args = ["--class", "GPON B+", "--card", "gpon-8", "--length", "30 m", "--connectors", "2"];
    insta::assert_snapshot!(printed(&args));
}

#[test]
fn a_port_that_cannot_be_judged() {
    let args = ["--optic", "1000BASE-LX10", "--cage", "SFP+", "--form", "SFP", "--length", "5 km"];
    insta::assert_snapshot!(printed(&args));
}

#[test]
fn a_whole_plan() {
    let desk = Desk::new();
    insta::assert_snapshot!(printed(&[&desk.plan()]));
}

/// Each end keeps the channel that is said of it; a far end of which nothing is said has the near one's.
#[test]
fn each_end_has_its_own_channel() {
    let base = ["--optic", "10GBASE-ZR", "--channel", "C31", "--length", "70 km"];
    let what = |more: &[&str]| json(&[&base, more].concat())["what"].as_str().map(String::from);
    let alike = "10GBASE-ZR C31 in `A`, facing 10GBASE-ZR C31 in `B`";
    assert_eq!(what(&[]).as_deref(), Some(alike));
    let unlike = "10GBASE-ZR C31 in `A`, facing 10GBASE-ZR C33 in `B`";
    assert_eq!(what(&["--far-channel", "C33"]).as_deref(), Some(unlike));
    assert_eq!(what(&["--far-optic", "10GBASE-ZR", "--far-channel", "C33"]).as_deref(), Some(unlike));
}

/// A third plug is a slip: it is told and not passed over.
#[test]
fn a_cord_has_two_ends() {
    let ran = fit(&["--optic", "10GBASE-LR", "--length", "1 km", "--plugs", "LC/UPC,SC/APC,LC/UPC"]);
    assert_eq!(ran.code, 2, "{}", ran.out);
    assert!(ran.err.contains("names 3 plugs"), "{}", ran.err);
}

/// Angled connectors and a pluggable module, whose face is flat (IEC 61755-1; common practice): whether the
/// cord in the port changes from one to the other has to be said, and until then nothing is promised.
#[test]
fn angled_connectors_and_a_flat_module() {
    let lr = ["--cage", "SFP+", "--optic", "10GBASE-LR", "--length", "3 km", "--connectors", "2"];
    let code = |more: &[&str]| fit(&[&lr, more].concat()).code;
    assert_eq!(code(&[]), 0);
    assert_eq!(code(&["--polish", "UPC"]), 0);
    assert_eq!(code(&["--polish", "APC"]), 3);
    assert_eq!(code(&["--polish", "APC", "--plugs", "LC/UPC,SC/APC"]), 0);
    assert_eq!(code(&["--polish", "APC", "--plugs", "LC/APC"]), 1);
    assert_eq!(code(&["--plugs", "LC/APC"]), 1);
    // No plug is stated of an OLT optic, and no face is known: nothing is compared, and it is said.
    let pon = ["--class", "GPON B+", "--length", "3 km", "--split", "1x32", "--connectors", "4"];
    let ran = fit(&[&pon[..], &["--polish", "APC"]].concat());
    assert_eq!(ran.code, 0, "{}", ran.out);
    assert!(ran.out.contains("the plugs of the cords (fit.array-pins"), "{}", ran.out);
}

/// An optic of a PON that stands alone faces the other side of its class (ITU-T G.984.2: an OLT and
/// an ONU of one class belong together).
#[test]
fn a_pon_optic_takes_its_mate() {
    for optic in ["GPON-OLT-B+", "XGS-PON-OLT-N1"] {
        let way = ["--length", "10 km", "--split", "1x32", "--connectors", "4"];
        let ran = fit(&[&["--optic", optic][..], &way].concat());
        assert_eq!(ran.code, 0, "{}", ran.out);
        let mate = optic.replace("OLT", "ONU");
        assert!(ran.out.contains(&format!("the far end has {mate}")), "{}", ran.out);
    }
}

/// An angled cord in a flat module is found without a word about the face (common practice).
#[test]
fn the_face_of_a_module_is_assumed_and_said() {
    let way = ["--optic", "10GBASE-LR", "--cage", "SFP+", "--length", "3 km"];
    for connectors in ["0", "2"] {
        let say = |plugs| fit(&[&way[..], &["--connectors", connectors, "--plugs", plugs]].concat());
        let angled = say("LC/APC");
        assert_eq!(angled.code, 1, "{}", angled.out);
        assert!(angled.out.contains("fit.polish-mixed"), "{}", angled.out);
        let flat = say("LC/UPC");
        assert_eq!(flat.code, 0, "{}", flat.out);
        assert!(flat.out.contains("the face of `A` is LC/PC"), "{}", flat.out);
    }
}
