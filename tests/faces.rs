//! What one face says no other face contradicts: order, the worst end, places, advice.

use std::path::Path;

use assert_cmd::Command;
use serde_json::Value;

const OVERLAY: &str = "examples/suburban-overlay/overlay.yaml";
const RING: &str = "examples/metro-ring/links.yaml";

/// Standard output of a command, run in a folder.
fn run_in(folder: &Path, args: &[&str]) -> String {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    let output = command.current_dir(folder).env("NO_COLOR", "1").args(args).output().expect("it runs");
    assert!(output.status.code().is_some_and(|code| code <= 1), "{args:?}: {output:?}");
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn run(args: &[&str]) -> String {
    run_in(Path::new(env!("CARGO_MANIFEST_DIR")), args)
}

/// The page of a plan, made from a folder.
fn page_in(folder: &Path, plan: &str) -> String {
    let out = tempfile::tempdir().expect("a folder");
    let file = out.path().join("page.html");
    run_in(folder, &["report", plan, "-o", &file.display().to_string()]);
    std::fs::read_to_string(file).expect("the page")
}

fn written(text: &str) -> (tempfile::TempDir, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let plan = folder.path().join("plan.yaml");
    std::fs::write(&plan, text).expect("a file");
    let shown = plan.display().to_string();
    (folder, shown)
}

/// A PON with homes at these lengths, one line each, the first on line 8.
fn street(optic: &str, homes: &[(&str, &str)]) -> String {
    let mut text = format!(
        "spanwright: 1\nshelves:\n  olt:\n    slots: {{ 1: {{ ports: {{ 1: {{ optic: {optic} }} }} }} }}\n\
         splitters:\n  s: {{ ratio: 1x16 }}\nonts:\n"
    );
    for (index, (onu, _)) in homes.iter().enumerate() {
        text += &format!("  home-{}: {{{onu}}}\n", index + 1);
    }
    text += "spans:\n  - { from: olt/1/1, to: s/in, length: 1 km }\n";
    for (index, (_, length)) in homes.iter().enumerate() {
        text += &format!("  - {{ from: s/{0}, to: home-{0}, length: {length} }}\n", index + 1);
    }
    text
}

const ONU: &str = " optic: GPON-ONU-B+ ";

/// Home 3 is the one too far: 60 km of fiber lose more than 20 dB beside a splitter of more than 12 dB.
#[test]
fn the_place_of_a_finding_is_that_of_the_home_it_names() {
    let (_kept, plan) = written(&street(
        "GPON-OLT-B+",
        &[(ONU, "59 km"), (ONU, "59.5 km"), (ONU, "60 km"), (ONU, "1 km")],
    ));
    let json: Value = serde_json::from_str(&run(&["budget", &plan, "--format", "json"])).expect("JSON");
    let findings = json["findings"].as_array().expect("findings");
    let lost: Vec<&Value> = findings.iter().filter(|one| one["rule"] == "budget.over-loss").collect();
    assert_eq!(lost.len(), 2, "one per direction");
    for finding in lost {
        assert!(finding["message"].as_str().expect("words").contains("worst `home-3`"), "{finding}");
        assert!(finding["place"].as_str().expect("a place").contains("plan.yaml:10:"), "{finding}");
        let about = finding["about"]["ends"].as_array().expect("ends");
        assert_eq!(about.len(), 3, "homes 1, 2 and 3: {finding}");
    }
}

/// Six homes without an optic are one finding for people, and six for programs.
#[test]
fn alike_findings_are_told_once() {
    let homes = [("", "1 km"); 6];
    let mut homes = homes.to_vec();
    homes.push((ONU, "1 km"));
    let (_kept, plan) = written(&street("GPON-OLT-B+", &homes));
    let table = run(&["budget", &plan]);
    assert_eq!(table.matches("fit.no-far-optic (").count(), 1, "{table}");
    assert!(table.contains("and 5 more)") && table.contains("6 findings in all"), "{table}");
    let json: Value = serde_json::from_str(&run(&["budget", &plan, "--format", "json"])).expect("JSON");
    let all = json["findings"].as_array().expect("findings").iter();
    assert_eq!(all.filter(|one| one["rule"] == "fit.no-far-optic").count(), 6);
}

/// The end that the head of the table names is the one that the page names, and it is in the list.
#[test]
fn the_worst_end_is_one_in_every_face() {
    for plan in [OVERLAY, RING, "examples/tap-road/copied.yaml"] {
        let table = run(&["budget", plan]);
        let line = |head: &str| {
            let line = table.lines().find(|line| line.starts_with(head)).expect("a line");
            line[13..].to_string()
        };
        let name = |line: &str| line.split_once(':').expect("a name").0.replace('`', "");
        let (worst, nearest) = (line("worst end"), line("nearest end"));
        let page = page_in(Path::new(env!("CARGO_MANIFEST_DIR")), plan);
        assert!(page.contains(&format!("{}: worst case", name(&worst))), "{plan}: {worst}");
        let near = nearest.split_once(", least loss").expect("a name").0.replace('`', "");
        assert!(page.contains(&format!("{near}, least loss")), "{plan}: {near}");
        let ends = table.split("\nend ").nth(1).expect("the ends").split("\n\n").next().expect("rows");
        for named in [name(&worst), near] {
            let id = named.split(' ').next().expect("an id");
            assert!(
                ends.lines().any(|row| row.starts_with(&format!("{id} "))),
                "{plan}: {id} in {ends}"
            );
        }
    }
}

/// The least yield of several PONs that are alike is that of all of them, in every face.
#[test]
fn nothing_is_called_less_sure_than_its_like() {
    let mut text =
        String::from("spanwright: 1\nshelves:\n  olt:\n    slots:\n      1:\n        ports:\n");
    let (mut onts, mut spans) = (String::from("onts:\n"), String::from("spans:\n"));
    for pon in 1..=5 {
        text += &format!("          {pon}: {{ optic: GPON-OLT-B+ }}\n");
        onts += &format!("  a-{pon}: {{{ONU}}}\n  b-{pon}: {{{ONU}}}\n");
        spans += &format!("  - {{ from: olt/1/{pon}, to: s-{pon}/in, length: 9 km }}\n");
        spans += &format!("  - {{ from: s-{pon}/1, to: a-{pon}, length: 1 km }}\n");
        spans += &format!("  - {{ from: s-{pon}/2, to: b-{pon}, length: 1 km }}\n");
    }
    text += "splitters:\n  s-[1-5]: { ratio: 1x16 }\n";
    let (_kept, plan) = written(&(text + &onts + &spans));
    let table = run(&["budget", &plan]);
    assert!(table.contains("all ends of each of 5 PONs close both ways with"), "{table}");
    let page = page_in(Path::new(env!("CARGO_MANIFEST_DIR")), &plan);
    assert!(page.contains("Each of the 5 PONs closes with") && !page.contains("more surely"));
}

/// Where too much light makes the yield short, more margin does not help; and a share of failures is never
/// written as none.
#[test]
fn advice_goes_with_the_cause_of_a_short_yield() {
    let json: Value =
        serde_json::from_str(&run(&["budget", OVERLAY, "--format", "json"])).expect("JSON");
    let findings = json["findings"].as_array().expect("findings");
    let short: Vec<&Value> = findings.iter().filter(|one| one["rule"] == "budget.joint-yield").collect();
    let of = |port: &str| short.iter().filter(|one| one["subject"] == port).collect::<Vec<_>>();
    let hot = of("olt-1/3/1");
    assert_eq!(hot.len(), 2);
    for finding in &hot {
        assert!(finding["hint"].as_str().expect("words").contains("pad"), "{finding}");
    }
    assert_ne!(hot[0]["message"], hot[1]["message"], "the systems are told apart");
    let far = of("olt-1/1/3");
    assert!(far[0]["hint"].as_str().expect("words").contains("less loss on its way"), "{}", far[0]);
    assert!(!short.iter().any(|one| one["message"].as_str().expect("words").contains(" 0.00 bad")));
}

/// One fiber has one pad, whatever systems share it.
#[test]
fn two_systems_of_one_port_get_one_pad() {
    let json: Value =
        serde_json::from_str(&run(&["fit", OVERLAY, "--port", "olt-1/3/1", "--format", "json"]))
            .expect("JSON");
    let text = json.to_string();
    assert_eq!(text.matches("and its first splitter: ").count(), 1, "{text}");
    assert!(text.contains("and its first splitter: 5.00 dB"), "{text}");
}

#[test]
fn documents_are_the_same_from_any_folder() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let inside = root.join("examples/tap-road");
    let far = page_in(root, "examples/tap-road/copied.yaml");
    let near = page_in(&inside, "copied.yaml");
    assert!(far.contains("copied.yaml:"), "places are named");
    assert!(far == near, "the pages differ");
}

/// A link has two ends that are alike; none of them is the office.
#[test]
fn links_know_no_office() {
    let page = page_in(Path::new(env!("CARGO_MANIFEST_DIR")), RING);
    let script = page.find("<script").expect("a script");
    let end = page.rfind("</script>").expect("its end");
    let words = format!("{}{}", &page[..script], &page[end..]);
    for wrong in ["from the office", "to the office", "Office at the left", "downstream"] {
        assert!(!words.contains(wrong), "{wrong}");
    }
    assert!(words.contains("A to B"));
}

/// A splitter's legs in use are those of all systems: on the first PON 32 homes hang on a 1x32, and the
/// figure at the far end of a link is the loss that its margin is made of.
#[test]
fn the_drawing_says_what_the_tables_say() {
    let homes = [(ONU, "1 km"), (" optic: XGS-PON-ONU-N1 ", "1 km"), (ONU, "1 km")];
    let (_kept, plan) = written(&street("[GPON-OLT-B+, XGS-PON-OLT-N1]", &homes));
    let page = page_in(Path::new(env!("CARGO_MANIFEST_DIR")), &plan);
    assert!(page.contains("1x16, 3 of 16 legs"), "both systems are counted");
    assert!(!page.contains(", 2 of 16 legs") && !page.contains(", 1 of 16 legs"));

    let text = "spanwright: 1\nallowances: { ageing: 2 dB }\n\
        shelves:\n  a: { slots: { 1: { ports: { 1: { optic: 10GBASE-LR } } } } }\n  \
        b: { slots: { 1: { ports: { 1: { optic: 10GBASE-LR } } } } }\n\
        spans:\n  - { from: a/1/1, to: b/1/1, length: 5 km, fibers: 2 }\n";
    let (_kept, plan) = written(text);
    let json: Value = serde_json::from_str(&run(&["budget", &plan, "--format", "json"])).expect("JSON");
    let most = json["ends"][0]["loss_db"]["most"].as_f64().expect("a loss");
    assert!(most > 3.0, "the ageing is counted: {most}");
    let page = page_in(Path::new(env!("CARGO_MANIFEST_DIR")), &plan);
    let shown = format!("{:.2} dB", (most * 100.0 - 1e-4).ceil() / 100.0);
    let start = page.find("<section id=\"tree\"").expect("the drawing");
    let drawing = page[start..].split("</section>").next().expect("its end");
    assert!(drawing.contains(&shown), "{shown}");
}

/// Ends of a change are listed by what became of them, one direction after the other.
#[test]
fn a_difference_is_listed_by_verdict_and_direction() {
    let homes: Vec<(&str, String)> = (0..12).map(|index| (ONU, format!("{} km", 20 + index))).collect();
    let homes: Vec<(&str, &str)> = homes.iter().map(|(onu, length)| (*onu, length.as_str())).collect();
    let old = street("GPON-OLT-B+", &homes);
    let (_old, before) = written(&old);
    let (_new, after) = written(&old.replace("length: 1 km }", "length: 13 km }"));
    let json: Value =
        serde_json::from_str(&run(&["diff", &before, &after, "--format", "json"])).expect("JSON");
    let ends = json["ends"].as_array().expect("ends");
    let runs: Vec<(String, String)> =
        ends.iter().map(|end| (end["verdict_new"].to_string(), end["direction"].to_string())).collect();
    let mut kinds = runs.clone();
    kinds.dedup();
    let mut once = kinds.clone();
    once.sort();
    once.dedup();
    // Each verdict and direction comes as one run; the two kinds of news (another verdict, the same) may
    // each hold a run of them.
    let changed = ends.iter().filter(|end| end["verdict_old"] != end["verdict_new"]).count();
    assert!(changed > 2, "{ends:?}");
    let first: Vec<_> = runs[..changed].to_vec();
    let mut seen = Vec::new();
    for one in &first {
        if seen.last() != Some(one) {
            assert!(!seen.contains(one), "{one:?} comes twice: {first:?}");
            seen.push(one.clone());
        }
    }
}
