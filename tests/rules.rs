//! Every rule of the input has a plan that it finds fault with and a near miss that it lets pass.
//!
//! A rule's cases stand in `tests/rules/<rule-id>/`: `hit*.yaml` must give a finding of that rule,
//! `miss*.yaml` must not. The snapshot of a hit is the whole text that the command line prints.
//! Cases in `tests/rules/sound/` must give no finding at all.

use std::path::{Path, PathBuf};

use spanwright::check::{Concern, registry};
use spanwright::read::plan::{PlanReading, load};
use spanwright::report::diagnostic;

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join("rules")
}

/// The cases of a folder whose names begin with `kind`, sorted.
fn cases(folder: &Path, kind: &str) -> Vec<PathBuf> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut cases: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "yaml"))
        .filter(|path| stem(path).starts_with(kind))
        .collect();
    cases.sort();
    cases
}

fn stem(path: &Path) -> String {
    path.file_stem().expect("a name").to_string_lossy().into_owned()
}

fn hits(reading: &PlanReading, rule: &str) -> usize {
    reading.findings.iter().filter(|finding| finding.rule.id == rule).count()
}

/// What the command line prints, with the paths as they are inside the folder of cases.
fn printed(reading: &PlanReading) -> String {
    let text = diagnostic::render(&reading.findings, &reading.sources, false);
    text.replace(&format!("{}/", root().display()), "")
}

#[test]
fn every_case_hits_or_misses_its_rule() {
    for folder in std::fs::read_dir(root()).expect("the cases") {
        let folder = folder.expect("an entry").path();
        let rule = folder.file_name().expect("a name").to_string_lossy().into_owned();
        if rule == "sound" {
            continue;
        }
        assert!(registry::find(&rule).is_some(), "{rule}: no such rule");
        for case in cases(&folder, "hit") {
            let reading = load(&case, &[]);
            let text = printed(&reading);
            assert!(hits(&reading, &rule) > 0, "{}: not found\n{text}", case.display());
            insta::with_settings!({ snapshot_path => "snapshots", prepend_module_to_snapshot => false }, {
                insta::assert_snapshot!(format!("{rule}-{}", stem(&case)), text);
            });
        }
        for case in cases(&folder, "miss") {
            let reading = load(&case, &[]);
            assert_eq!(hits(&reading, &rule), 0, "{}\n{}", case.display(), printed(&reading));
        }
    }
}

#[test]
fn sound_plans_have_no_finding() {
    let sound = cases(&root().join("sound"), "");
    assert!(!sound.is_empty());
    for case in sound {
        let reading = load(&case, &[]);
        assert!(reading.findings.is_empty(), "{}", printed(&reading));
    }
}

#[test]
fn every_input_rule_has_a_hit_and_a_miss() {
    for rule in registry::ALL.iter().filter(|rule| rule.concern == Concern::Input) {
        for kind in ["hit", "miss"] {
            let found = cases(&root().join(rule.id), kind);
            assert!(!found.is_empty(), "{}: no case `{kind}*.yaml`", rule.id);
        }
    }
}
