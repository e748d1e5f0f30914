//! Every rule about a plan has a plan that it finds fault with and a near miss that it lets pass.
//!
//! A rule's cases stand in `tests/rules/<rule-id>/`: `hit*.yaml` must give a finding of that rule,
//! `miss*.yaml` must not. The snapshot of a hit is the whole text that the command line prints.
//! Plans in `tests/rules/sound/` are read without any finding.

use std::path::{Path, PathBuf};

use spanwright::budget::Settings;
use spanwright::check::{Finding, registry};
use spanwright::engine::judge;
use spanwright::read::plan::load;
use spanwright::read::sources::Sources;
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
        // `hit.plan.yaml` and `hit.audit.yaml` belong to a case of rows (`tests/inventory_rules.rs`).
        .filter(|path| stem(path).starts_with(kind) && !stem(path).contains('.'))
        .collect();
    cases.sort();
    cases
}

fn stem(path: &Path) -> String {
    path.file_stem().expect("a name").to_string_lossy().into_owned()
}

/// Reads a plan and judges it, as far as its input allows.
fn findings(case: &Path) -> (Vec<Finding>, Sources) {
    let reading = load(case, &[]);
    let settings = Settings { statistics: true, cross_check: None };
    let files = reading.sources.files();
    let judged = judge(reading.plan, reading.tables, reading.findings, files, settings);
    (judged.map_or_else(|findings| findings, |judged| judged.findings), reading.sources)
}

fn hits(findings: &[Finding], rule: &str) -> usize {
    findings.iter().filter(|finding| finding.rule.id == rule).count()
}

/// What the command line prints, with the paths as they are inside the folder of cases.
fn printed(findings: &[Finding], sources: &Sources) -> String {
    let text = diagnostic::render(findings, sources, false);
    text.replace(&format!("{}/", root().display()), "")
}

#[test]
fn every_case_hits_or_misses_its_rule() {
    let entries = std::fs::read_dir(root()).expect("the cases");
    let mut folders: Vec<PathBuf> = entries.map(|entry| entry.expect("an entry").path()).collect();
    folders.sort();
    for folder in folders.iter().filter(|folder| !folder.ends_with("sound")) {
        let rule = folder.file_name().expect("a name").to_string_lossy().into_owned();
        assert!(registry::find(&rule).is_some(), "{rule}: no such rule");
        for case in cases(folder, "hit") {
            let (findings, sources) = findings(&case);
            let text = printed(&findings, &sources);
            assert!(hits(&findings, &rule) > 0, "{}: not found\n{text}", case.display());
            insta::with_settings!({ prepend_module_to_snapshot => false }, {
                insta::assert_snapshot!(format!("{rule}-{}", stem(&case)), text);
            });
        }
        for case in cases(folder, "miss") {
            let (findings, sources) = findings(&case);
            let text = printed(&findings, &sources);
            assert_eq!(hits(&findings, &rule), 0, "{}\n{text}", case.display());
        }
    }
}

#[test]
fn sound_plans_are_read_without_any_finding() {
    let sound = cases(&root().join("sound"), "");
    assert!(!sound.is_empty());
    for case in sound {
        let reading = load(&case, &[]);
        assert!(reading.findings.is_empty(), "{}", printed(&reading.findings, &reading.sources));
    }
}

#[test]
fn every_rule_about_a_plan_has_a_hit_and_a_miss() {
    let areas = ["budget.", "fit.", "plan.", "table."];
    let about_a_plan = |id: &str| areas.iter().any(|area| id.starts_with(area));
    for rule in registry::ALL.iter().filter(|rule| about_a_plan(rule.id)) {
        for kind in ["hit", "miss"] {
            let found = cases(&root().join(rule.id), kind);
            assert!(!found.is_empty(), "{}: no case `{kind}*.yaml`", rule.id);
        }
    }
}
