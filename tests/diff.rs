//! Two states of a plan side by side.

use std::path::Path;

use assert_cmd::Command;
use serde_json::{Value, json};

fn run(args: &[&str]) -> (i32, String, String) {
    let mut command = Command::cargo_bin("spanwright").expect("the binary");
    command.current_dir(env!("CARGO_MANIFEST_DIR")).env("NO_COLOR", "1").args(args);
    let output = command.output().expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("UTF-8");
    (output.status.code().expect("it ended"), text(output.stdout), text(output.stderr))
}

fn diff(old: &str, new: &str) -> Value {
    serde_json::from_str(&run(&["diff", old, new, "--format", "json"]).1).expect("JSON")
}

fn list<'v>(value: &'v Value, key: &str) -> &'v Vec<Value> {
    value[key].as_array().expect("a list")
}

/// The starter plan with one thing written otherwise.
fn changed(from: &str, to: &str) -> (tempfile::TempDir, String, String) {
    let folder = tempfile::tempdir().expect("a folder");
    let text = std::fs::read_to_string("src/cli/starter.yaml").expect("the starter");
    assert!(text.contains(from), "{from}");
    let write = |name: &str, text: String| {
        let path = folder.path().join(name);
        std::fs::write(&path, text).expect("written");
        path.display().to_string()
    };
    let (old, new) = (write("old.yaml", text.clone()), write("new.yaml", text.replace(from, to)));
    (folder, old, new)
}

#[test]
fn equal_plans_do_not_differ() {
    let plan = "examples/suburban-overlay/overlay.yaml";
    let found = diff(plan, plan);
    for key in ["changes", "groups", "ends", "sheets"] {
        assert!(list(&found, key).is_empty(), "{key}");
    }
    assert_eq!((&found["shape"], &found["version"]), (&json!("spanwright.diff"), &json!(1)));
    assert!(run(&["diff", plan, plan]).1.contains("nothing is to be issued anew"));
}

/// One kilometer more of feeder: every end loses the same, and that is what its fiber loses per kilometer;
/// the sheets with lengths, levels and margins change, the list of labels does not.
#[test]
fn a_longer_feeder_moves_every_end_by_its_loss() {
    let (_kept, old, new) = changed("length: 7.4 km", "length: 8.4 km");
    let found = diff(&old, &new);
    let changes = list(&found, "changes");
    assert_eq!(
        (changes.len(), &changes[0]["what"], &changes[0]["change"]),
        (1, &json!("span"), &json!("changed"))
    );
    let fields = list(&changes[0], "fields");
    assert!(fields.iter().any(|field| field["field"] == "length"));
    let ends = list(&found, "ends");
    let json: Value = serde_json::from_str(&run(&["budget", &old, "--format", "json"]).1).expect("JSON");
    assert_eq!(ends.len(), list(&json, "ends").len());
    for end in ends {
        let number = |key: &str| end[key].as_f64().expect("a number");
        let lost = number("margin_old_db") - number("margin_new_db");
        // G.652.D loses at most some 0.3 to 0.5 dB/km; slack, repair splices and reels come to it.
        assert!((0.3..1.2).contains(&lost), "{end}");
    }
    let names: Vec<&str> =
        list(&found, "sheets").iter().filter_map(|sheet| sheet["sheet"].as_str()).collect();
    for name in ["ports", "fibers", "light", "ends", "materials"] {
        assert!(names.contains(&name), "{name} in {names:?}");
    }
    assert!(!names.contains(&"labels") && !names.contains(&"capacity"), "{names:?}");
}

/// A changed title changes no sheet but the heads of all.
#[test]
fn a_title_moves_nobody() {
    let (_kept, old, new) = changed("title: First plan", "title: Second plan");
    let found = diff(&old, &new);
    assert!(list(&found, "ends").is_empty() && list(&found, "sheets").is_empty());
    assert_ne!(found["old"]["plan_sha256"], found["new"]["plan_sha256"]);
    assert!(run(&["diff", &old, &new]).1.contains("but for revision and hash"));
}

/// Taps of the optimum for the copied ones: the four houses of terminal 7 pass, and all agrees with what
/// `budget` says of both.
#[test]
fn verdicts_and_margins_are_those_of_both_budgets() {
    let (old, new) = ("examples/tap-road/copied.yaml", "examples/tap-road/optimum.yaml");
    let found = diff(old, new);
    let budget = |plan: &str| -> Value {
        serde_json::from_str(&run(&["budget", plan, "--format", "json"]).1).expect("JSON")
    };
    let (before, after) = (budget(old), budget(new));
    let ends = list(&found, "ends");
    let turned =
        ends.iter().filter(|end| end["verdict_old"] == "marginal" && end["verdict_new"] == "pass");
    assert_eq!(turned.count(), 4);
    for end in ends {
        for (state, verdict, margin) in
            [(&before, "verdict_old", "margin_old_db"), (&after, "verdict_new", "margin_new_db")]
        {
            let same = |one: &&Value| one["from"] == end["from"] && one["to"] == end["to"];
            let stated = list(state, "ends").iter().find(same).expect("the end");
            assert_eq!((&stated["verdict"], &stated["margin_db"]), (&end[verdict], &end[margin]));
        }
    }
    let taps = list(&found, "changes").iter().filter(|change| change["what"] == "tap");
    assert!(taps.count() >= 4);
}

#[test]
fn what_is_added_and_removed_is_named() {
    let (_kept, old, new) = changed("places:\n", "places:\n  shed: {kind: premises}\n");
    let found = diff(&old, &new);
    let change = &list(&found, "changes")[0];
    assert_eq!(
        (&change["what"], &change["id"], &change["change"]),
        (&json!("place"), &json!("shed"), &json!("added"))
    );
    let back = diff(&new, &old);
    assert_eq!(list(&back, "changes")[0]["change"], "removed");
}

#[test]
fn table_and_markdown_are_golden() {
    let (old, new) = ("examples/tap-road/copied.yaml", "examples/tap-road/optimum.yaml");
    insta::assert_snapshot!("table", run(&["diff", old, new]).1);
    insta::assert_snapshot!("markdown", run(&["diff", old, new, "--format", "markdown"]).1);
}

#[test]
fn a_plan_that_cannot_be_read_is_bad_input() {
    let (code, out, errors) = run(&["diff", "examples/tap-road/copied.yaml", "no-such.yaml"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(errors.contains("no-such.yaml"), "{errors}");
    assert!(!Path::new("no-such.yaml").exists());
}
