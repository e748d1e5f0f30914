//! The sheets: in agreement with the JSON face number by number, equal for equal input, text kept text.

use std::collections::BTreeMap;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use assert_cmd::Command;
use calamine::{Data, Reader, Xlsx};
use scraper::{Html, Selector};
use serde_json::Value;

fn run(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(args);
    let output = command.output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().expect("it ended"), text(output.stdout), text(output.stderr))
}

/// The sheets of a plan in a folder of their own.
fn made(plan: &str, more: &[&str]) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("sheets");
    let shown = out.display().to_string();
    let mut args = vec!["schedule", plan, "-o", &shown];
    args.extend(more);
    let (code, _, errors) = run(&args);
    assert!(code <= 1, "{errors}");
    (folder, out)
}

type Book = Xlsx<Cursor<Vec<u8>>>;

fn book(folder: &Path) -> Book {
    let bytes = std::fs::read(folder.join("schedule.xlsx")).expect("the workbook");
    Xlsx::new(Cursor::new(bytes)).expect("a workbook")
}

/// The rows of a tab as maps from head to cell.
fn tab(book: &mut Book, name: &str) -> Vec<BTreeMap<String, Data>> {
    let range = book.worksheet_range(name).expect("the tab");
    let mut rows = range.rows();
    let heads: Vec<String> = rows.next().expect("heads").iter().map(ToString::to_string).collect();
    rows.map(|row| heads.iter().cloned().zip(row.iter().cloned()).collect()).collect()
}

/// The rows of a CSV file as maps.
fn csv_rows(folder: &Path, name: &str) -> Vec<BTreeMap<String, String>> {
    let mut reader = csv::Reader::from_path(folder.join(format!("{name}.csv"))).expect("the file");
    reader.deserialize().map(|row| row.expect("a row")).collect()
}

fn text(cell: &Data) -> Option<&str> {
    match cell {
        Data::String(text) => Some(text),
        _ => None,
    }
}

fn number(cell: &Data) -> Option<f64> {
    match cell {
        Data::Float(value) => Some(*value),
        Data::Int(value) => Some(*value as f64),
        _ => None,
    }
}

/// Hundredths of a JSON figure, rounded as sheets round.
fn hundredths(value: &Value, round: fn(f64) -> f64) -> Option<f64> {
    let scaled = value.as_f64()? * 100.0;
    let near = scaled.round();
    Some(if (scaled - near).abs() < 1e-4 { near } else { round(scaled) } / 100.0)
}

const PLANS: [&str; 3] = [
    "examples/tap-road/copied.yaml",
    "examples/suburban-overlay/overlay.yaml",
    "examples/metro-ring/links.yaml",
];

#[test]
fn the_ends_of_workbook_and_csv_agree_with_the_json_face() {
    for plan in PLANS {
        let (_kept, folder) = made(plan, &[]);
        let json: Value =
            serde_json::from_str(&run(&["budget", plan, "--format", "json"]).1).expect("JSON");
        let mut stated: BTreeMap<String, &Value> = BTreeMap::new();
        for end in json["ends"].as_array().expect("ends") {
            let text = |key: &str| end[key].as_str().expect("text").to_string();
            let key = format!("{} {} {}", text("from"), text("to"), end["wavelength_nm"]);
            assert!(stated.insert(key, end).is_none());
        }
        let rows = tab(&mut book(&folder), "ends");
        let csv = csv_rows(&folder, "ends");
        assert_eq!((rows.len(), csv.len()), (stated.len(), stated.len()), "{plan}");
        for (row, written) in rows.iter().zip(&csv) {
            let nm = number(&row["nm"]).expect("a number");
            let end = stated[&format!("{} {} {nm:?}", row["from"], row["to"])];
            let loss = &end["loss_db"];
            for (head, value, round) in [
                ("least loss, dB", &loss["least"], f64::floor as fn(f64) -> f64),
                ("typical loss, dB", &loss["typical"], f64::round),
                ("worst loss, dB", &loss["most"], f64::ceil),
                ("margin, dB", &end["margin_db"], f64::floor),
                ("headroom, dB", &end["headroom_db"], f64::floor),
                ("least level, dBm", &end["received_dbm"][0], f64::floor),
                ("greatest level, dBm", &end["received_dbm"][1], f64::ceil),
            ] {
                let wanted = hundredths(value, round);
                assert_eq!(number(&row[head]), wanted, "{plan}: {head} of {}", row["end"]);
                assert_eq!(written[head].parse().ok(), wanted, "{plan}: {head} of {}", row["end"]);
            }
            assert_eq!(row["verdict"].to_string(), end["verdict"].as_str().expect("a word"));
        }
    }
}

/// What a meter is to read at a receiver is what the ends' own figures say.
#[test]
fn expected_light_at_the_premises_is_the_level_of_the_end() {
    let (_kept, folder) = made("examples/tap-road/copied.yaml", &[]);
    let mut book = book(&folder);
    let ends = tab(&mut book, "ends");
    let light = tab(&mut book, "light");
    let mut compared = 0;
    for end in ends.iter().filter(|end| text(&end["direction"]) == Some("downstream")) {
        let here = light.iter().find(|row| {
            row["point"] == end["to"] && text(&row["light comes from"]) == Some("the office")
        });
        let here = here.expect("a test point");
        assert_eq!(number(&here["least, dBm"]), number(&end["least level, dBm"]));
        assert_eq!(number(&here["most, dBm"]), number(&end["greatest level, dBm"]));
        compared += 1;
    }
    assert_eq!(compared, 32);
}

/// From the office every end behind a point shares one reading; to the office each end has its own, so
/// no end that is as drawn may be stopped at.
#[test]
fn nobody_is_stopped_who_reads_what_is_expected_of_a_passing_end() {
    let (_kept, folder) = made("examples/suburban-overlay/overlay-n2.yaml", &[]);
    for row in tab(&mut book(&folder), "light") {
        let of = |head: &str| number(&row[head]).expect("a number");
        assert!(of("least, dBm") <= of("expected, dBm") && of("expected, dBm") <= of("most, dBm"));
        assert!(of("stop below, dBm") < of("stop above, dBm"), "{row:?}");
        if text(&row["light comes from"]) == Some("the premises") {
            assert!(of("stop below, dBm") <= of("least, dBm") + 0.02, "{row:?}");
        }
    }
}

/// TIA-598: strand 14 of twelve-fiber tubes is the orange fiber of the orange tube; of six-fiber tubes the
/// orange fiber of the green one; of twenty-four-fiber tubes the marked orange fiber of the blue one
/// (counted by hand from the order of colors).
#[test]
fn the_template_decides_the_color() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.yaml");
    let text = std::fs::read_to_string("examples/tap-road/copied.yaml").expect("the plan");
    let text = text.replace("  - { table: road.csv }", "  - { table: road.csv }\n  - { from: frame-l/2, to: frame-e/2, length: 2 km, cable: test, strand: 14 }");
    let home = std::fs::canonicalize("examples/tap-road").expect("the folder");
    let text = text
        .replace("table: road.csv", &format!("table: {}/road.csv", home.display()))
        .replace("table: drops.csv", &format!("table: {}/drops.csv", home.display()))
        .replace("tables: tables/", &format!("tables: {}/tables/", home.display()));
    std::fs::write(&plan, text).expect("written");
    for (template, tube, fiber) in [
        ("TIA-598-12", "orange", "orange"),
        ("TIA-598-6", "green", "orange"),
        ("TIA-598-24", "blue", "orange with 1 mark"),
    ] {
        let option = format!("test={template}");
        let (_kept, out) = made(&plan.display().to_string(), &["--cable", &option]);
        let rows = csv_rows(&out, "fibers");
        let row = rows.iter().find(|row| row["cable"] == "test").expect("the strand");
        assert_eq!((row["tube color"].as_str(), row["fiber color"].as_str()), (tube, fiber));
        let other = rows.iter().find(|row| row["cable"] == "skarn-1").expect("the strand");
        assert_eq!((other["tube color"].as_str(), other["fiber color"].as_str()), ("blue", "blue"));
    }
    let plan = plan.display().to_string();
    let out = folder.path().join("x.xlsx").display().to_string();
    let (code, _, errors) = run(&[
        "schedule",
        &plan,
        "-o",
        &out,
        "--cable",
        "tset=TIA-598-6",
        "--cable-template",
        "TIA-598-7",
    ]);
    assert_eq!(code, 2);
    assert!(errors.contains("did you mean `test`") && errors.contains("TIA-598-7"), "{errors}");
    assert!(!Path::new(&out).exists());
}

#[test]
fn equal_input_gives_equal_bytes() {
    let (_a, first) = made("examples/metro-ring/ring.yaml", &["--date", "2031-06-01"]);
    let (_b, second) = made("examples/metro-ring/ring.yaml", &["--date", "2031-06-01"]);
    let mut names: Vec<_> = std::fs::read_dir(&first).expect("files").flatten().collect();
    names.sort_by_key(std::fs::DirEntry::file_name);
    assert_eq!(names.len(), 13);
    for name in names {
        let other = second.join(name.file_name());
        let read = |path: &Path| std::fs::read(path).expect("bytes");
        assert!(read(&name.path()) == read(&other), "{}", other.display());
    }
}

/// A workbook evaluates nothing, identifiers are text, and the CSV files keep formulas text.
#[test]
fn text_stays_text() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.yaml");
    let text = std::fs::read_to_string("src/cli/starter.yaml").expect("the starter");
    let mut lines: Vec<&str> = text.lines().filter(|line| !line.starts_with("title:")).collect();
    let title = "title: '=HYPERLINK(\"x\",\"<script>\")'";
    lines.push(title);
    let text = lines.join("\n").replace("cable: f-1,", "cable: '=1+2',");
    assert!(text.contains("'=1+2'"), "the starter names a cable");
    std::fs::write(&plan, text).expect("written");
    let (_kept, out) = made(&plan.display().to_string(), &[]);
    let mut book = book(&out);
    for name in book.sheet_names() {
        let formulas = book.worksheet_formula(&name).expect("a tab");
        assert!(formulas.used_cells().all(|(_, _, formula)| formula.is_empty()), "{name}");
    }
    let fibers = tab(&mut book, "fibers");
    assert!(fibers.iter().any(|row| row["cable"] == Data::String("=1+2".to_string())));
    let ports = tab(&mut book, "ports");
    assert!(ports.iter().all(|row| matches!(row["port"], Data::String(_))));
    assert!(csv_rows(&out, "fibers").iter().any(|row| row["cable"] == "'=1+2"));
    assert!(csv_rows(&out, "about").iter().any(|row| row["words"].starts_with("'=HYPERLINK")));
    for cards in ["closure-cards.html", "light-cards.html"] {
        let page = std::fs::read_to_string(out.join(cards)).expect("the cards");
        assert!(!page.contains("<script>"), "{cards}");
    }
}

#[test]
fn the_cards_are_well_formed_and_carry_the_plan() {
    for plan in PLANS {
        let (_kept, folder) = made(plan, &[]);
        for name in ["closure-cards.html", "light-cards.html"] {
            let page = std::fs::read_to_string(folder.join(name)).expect("the cards");
            let html = Html::parse_document(&page);
            assert!(html.errors.is_empty(), "{plan} {name}: {:?}", html.errors);
            let who = Selector::parse(".who code").expect("a selector");
            let hashes: Vec<String> = html.select(&who).map(|e| e.text().collect()).collect();
            assert!(hashes.iter().all(|hash| hash.len() == 12 && *hash == hashes[0]));
            assert!(page.contains("Invisible laser light"));
        }
    }
}

/// What is spliced, plugged and bought, counted by hand from the example's plan and its tables.
#[test]
fn the_tap_road_is_counted_right() {
    let (_kept, folder) = made("examples/tap-road/copied.yaml", &[]);
    let splices = csv_rows(&folder, "splices");
    // Seven taps with a splice in and one through, one splice in the last case; and the road's own.
    let at = |closure: &str| splices.iter().filter(|row| row["closure"].starts_with(closure)).count();
    assert_eq!((at("tap-"), at("end-8")), (14, 1));
    let materials = csv_rows(&folder, "materials");
    let pieces = |item: &str| -> u64 {
        let these = materials.iter().filter(|row| row["item"] == item);
        these.map(|row| row["net"].parse::<u64>().expect("a count")).sum()
    };
    assert_eq!((pieces("tap"), pieces("splitter"), pieces("ONT"), pieces("optic")), (7, 8, 32, 1));
    assert_eq!((pieces("drop"), pieces("cord")), (32, 2));
    // The plan's road: 9.788 + 0.95 + 1.2 + 0.7 + 1.4 + 0.85 + 1.1 + 1.25 km.
    let cable: f64 = materials
        .iter()
        .filter(|row| row["item"] == "cable")
        .map(|row| row["net"].parse::<f64>().expect("a length"))
        .sum();
    approx::assert_abs_diff_eq!(cable, 17.238, epsilon = 1e-9);
    let capacity = csv_rows(&folder, "capacity");
    let terminal = capacity.iter().find(|row| row["id"] == "term-3").expect("the terminal");
    assert_eq!((terminal["used"].as_str(), terminal["left"].as_str()), ("4", "0"));
    assert_eq!(csv_rows(&folder, "patches").len(), 2);
}

#[test]
fn feet_are_printed_on_request() {
    let (_kept, folder) = made("examples/tap-road/copied.yaml", &["--units", "us"]);
    let ports = csv_rows(&folder, "ports");
    // 17.990 km at 0.3048 m (exact) to the foot.
    assert_eq!(ports[0]["far, kft"], "59.022");
    // 8 m.
    assert_eq!(ports[0]["cord, ft"], "26.2");
}

/// Both fibers of a pair are spliced, and each strand has its tube: the last of a tube of twelve stays in it,
/// the next begins another.
/// Source: TIA-598 order of colors (from memory): blue, orange, green, brown, slate, white, red, black,
/// yellow, violet, rose, aqua; tubes in the same order.
#[test]
fn both_strands_of_a_pair_and_the_last_of_a_tube() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("pair.yaml");
    let text = "spanwright: 1\nshelves:\n  a: { ports: { 1: { optic: 10GBASE-LR } } }\n  \
        b: { ports: { 1: { optic: 10GBASE-LR } } }\nsplice-cases: { sc: { positions: 4 } }\nspans:\n  \
        - { from: a/1, to: sc/1, length: 2 km, cable: f-1, strand: 11, fibers: 2 }\n  \
        - { from: sc/1, to: b/1, length: 3 km, cable: f-2, strand: 24, fibers: 2 }\n";
    std::fs::write(&plan, text).expect("a plan");
    let (_kept, sheets) = made(plan.to_str().expect("a name"), &[]);
    let of = |name: &str, keys: &[&str]| -> Vec<Vec<String>> {
        let cells = |row: BTreeMap<String, String>| keys.iter().map(|key| row[*key].clone()).collect();
        csv_rows(&sheets, name).into_iter().map(cells).collect()
    };
    let splices =
        ["position", "in strand", "in tube", "in fiber", "out strand", "out tube", "out fiber"];
    assert_eq!(
        of("splices", &splices),
        [
            ["1a", "11", "1 BL", "11 RS", "24", "2 OR", "12 AQ"],
            ["1b", "12", "1 BL", "12 AQ", "25", "3 GR", "1 BL"],
        ]
    );
    assert_eq!(
        of("fibers", &["cable", "strand", "tube", "tube color", "fiber", "fiber color"]),
        [
            ["f-1", "11", "1", "blue", "11", "rose"],
            ["f-1", "12", "1", "blue", "12", "aqua"],
            ["f-2", "24", "2", "orange", "12", "aqua"],
            ["f-2", "25", "3", "green", "1", "blue"],
        ]
    );
}

/// The reading that single ones add up to: a level in dBm is ten times the decimal logarithm of the power in
/// milliwatts (definition of dBm), and powers in one fiber add.
fn added(levels: &[f64]) -> f64 {
    10.0 * levels.iter().map(|level| 10f64.powf(level / 10.0)).sum::<f64>().log10()
}

/// The downstream row of a point at a wavelength.
fn light_at<'r>(
    rows: &'r [BTreeMap<String, String>],
    point: &str,
    nm: &str,
) -> &'r BTreeMap<String, String> {
    let found = rows
        .iter()
        .find(|row| row["point"] == point && row["nm"] == nm && row["light comes from"] == "the office");
    found.expect("a test point")
}

fn figure(row: &BTreeMap<String, String>, head: &str) -> f64 {
    row[head].parse().unwrap_or_else(|_| panic!("{head} of {row:?}"))
}

/// Where two systems share the fiber of a home, a meter without a filter reads their sum: -17.2 and
/// -17.6 dBm are -14.39 dBm together (from the single readings, by the definition of dBm).
#[test]
fn a_meter_without_a_filter_reads_the_sum_of_both_systems() {
    let (_kept, folder) = made("examples/suburban-overlay/overlay.yaml", &[]);
    let rows = csv_rows(&folder, "light");
    let (gpon, xgs) = (light_at(&rows, "house-001", "1490"), light_at(&rows, "house-001", "1577"));
    assert_eq!(figure(gpon, "expected, dBm"), -17.6);
    assert_eq!(figure(xgs, "expected, dBm"), -17.2);
    // Both single readings and their sum are rounded to a tenth.
    assert!((added(&[-17.2, -17.6]) + 14.39).abs() < 0.005);
    for row in [gpon, xgs] {
        assert!((figure(row, "all light: expected, dBm") + 14.39).abs() <= 0.1, "{row:?}");
        for (all, single) in
            [("all light: least, dBm", "least, dBm"), ("all light: most, dBm", "most, dBm")]
        {
            let sum = added(&[figure(gpon, single), figure(xgs, single)]);
            assert!((figure(row, all) - sum).abs() <= 0.02, "{all}: {sum} {row:?}");
        }
    }
    assert_eq!((gpon["other light, nm"].as_str(), xgs["other light, nm"].as_str()), ("1577", "1490"));
    let ends = csv_rows(&folder, "ends");
    let end = ends.iter().find(|row| row["to"] == "house-001" && row["nm"] == "1490").expect("the end");
    for head in ["least", "expected", "most"] {
        let (there, here) =
            (format!("first day, all light: {head}, dBm"), format!("all light: {head}, dBm"));
        assert_eq!(end[&there], gpon[&here]);
    }
}

/// Each system is alone before the element that joins them, and joined behind it.
#[test]
fn one_system_alone_has_no_sum() {
    let (_kept, folder) = made("examples/suburban-overlay/overlay.yaml", &[]);
    let rows = csv_rows(&folder, "light");
    for (port, nm) in [("olt-1/1/1", "1490"), ("olt-1/2/1", "1577")] {
        let row = light_at(&rows, port, nm);
        assert_eq!(
            (row["all light: expected, dBm"].as_str(), row["other light, nm"].as_str()),
            ("", "")
        );
    }
    let (_kept, folder) = made("examples/tap-road/copied.yaml", &[]);
    let rows = csv_rows(&folder, "light");
    assert!(rows.iter().all(|row| row["all light: least, dBm"].is_empty()));
}

/// A home of one system on a plant of two: the other system's light arrives there too, though none of its
/// own ends does.
#[test]
fn light_that_is_meant_for_others_is_in_the_sum() {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.yaml");
    let text = "spanwright: 1\n\
        shelves:\n  olt:\n    slots: { 1: { ports: { 1: { optic: [GPON-OLT-B+, XGS-PON-OLT-N1] } } } }\n\
        splitters:\n  s: { ratio: 1x8 }\n\
        onts:\n  both: { optic: [GPON-ONU-B+, XGS-PON-ONU-N1] }\n  old: { optic: GPON-ONU-B+ }\n\
        spans:\n  - { from: olt/1/1, to: s/in, length: 5 km }\n  \
        - { from: s/1, to: both, length: 100 m }\n  - { from: s/2, to: old, length: 100 m }\n";
    std::fs::write(&plan, text).expect("a file");
    let (_kept, folder) = made(&plan.display().to_string(), &[]);
    let rows = csv_rows(&folder, "light");
    let (old, both) = (light_at(&rows, "old", "1490"), light_at(&rows, "both", "1490"));
    // Both drops are alike, so is the light on them.
    for head in ["other light, nm", "all light: least, dBm", "all light: expected, dBm"] {
        assert_eq!(old[head], both[head]);
    }
    assert_eq!(old["other light, nm"], "1577");
    assert!(figure(old, "all light: expected, dBm") > figure(old, "expected, dBm") + 2.0);
}

#[test]
fn cards_and_about_say_which_meter_is_meant() {
    for (plan, sums) in [(PLANS[0], false), (PLANS[1], true)] {
        let (_kept, folder) = made(plan, &[]);
        let about = csv_rows(&folder, "about");
        let meter: Vec<&str> = about
            .iter()
            .filter(|row| row["about"] == "meter")
            .map(|row| row["words"].as_str())
            .collect();
        assert_eq!(meter.len(), 1);
        assert!(meter[0].contains("filtering meter") && meter[0].contains("broadband meter"));
        let page = std::fs::read_to_string(folder.join("light-cards.html")).expect("the cards");
        let html = Html::parse_document(&page);
        let words: String = html.root_element().text().collect();
        assert!(words.contains(meter[0]), "{plan}");
        assert_eq!(words.contains("all light: expected, dBm"), sums, "{plan}");
    }
}

/// A row that says at which readings to stop never stops at what it expects itself; where the plan is at
/// fault it says so instead. The cards say the same as the sheet.
#[test]
fn no_row_contradicts_its_own_stops() {
    let (_kept, folder) = made("examples/suburban-overlay/overlay.yaml", &[]);
    let rows = csv_rows(&folder, "light");
    let mut without = 0;
    for row in &rows {
        if row["stop below, dBm"].is_empty() && row["stop above, dBm"].is_empty() {
            let verdict = row["verdict"].strip_suffix(": mend the plan before you measure");
            assert!(matches!(verdict, Some("fail" | "overload")), "{row:?}");
            without += 1;
            continue;
        }
        let (below, above) = (figure(row, "stop below, dBm"), figure(row, "stop above, dBm"));
        let expected = figure(row, "expected, dBm");
        // Expected levels are rounded to a tenth.
        assert!(below <= expected + 0.05 && expected <= above + 0.05 && below < above, "{row:?}");
    }
    assert!(without > 0 && without < rows.len(), "{without} of {}", rows.len());
    let page = std::fs::read_to_string(folder.join("light-cards.html")).expect("the cards");
    assert_eq!(page.matches("mend the plan before you measure").count(), without);
    let html = Html::parse_document(&page);
    let cells = Selector::parse("tbody tr").expect("a selector");
    assert_eq!(html.select(&cells).count(), rows.len());
}
