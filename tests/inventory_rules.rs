//! Every rule about inventories has rows that it finds fault with and a near miss that it lets pass.
//!
//! A rule's cases stand in `tests/rules/<rule-id>/`: `hit*.csv` must give the rule's finding, `miss*.csv`
//! must not. Each is a small inventory; what is said of it stands above its heads, line by line:
//!
//! ```text
//! # Source: where the limit or the practice comes from, and why this row is just beyond or within it
//! # At: the ports of the rule's findings in a hit, parted by `;` (`-` = the inventory as a whole)
//! # Also: other rules of severity error or warning that are rightly hit too, parted by `;`
//! # Date: the day on which is judged (rules about age run only with it)
//! # Tables: a folder of own tables beside the case
//! ```
//!
//! Beside `hit.csv` may stand `hit.plan.yaml` (a plan that the rows are held against) and
//! `hit.audit.yaml` (severities and limits, as `--config` reads them).
//!
//! The snapshot of a hit holds everything that is said of it, as an auditor reads it. Rules about plans
//! that look at rows too have their rows beside their plans (`tests/rules.rs` reads those).

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use spanwright::audit::against;
use spanwright::audit::run::{Choice, prepare, run};
use spanwright::budget::Settings;
use spanwright::check::inventory_rules::ENTRIES;
use spanwright::check::inventory_rules::facts::Limits;
use spanwright::check::policy::Policy;
use spanwright::check::{Finding, Severity, registry};
use spanwright::engine::judge;
use spanwright::inventory::date;
use spanwright::read::inventory::Trouble;
use spanwright::read::inventory::again::Again;
use spanwright::read::inventory::load::{load, open_all};
use spanwright::read::inventory::policy::read_policy;
use spanwright::read::plan;
use spanwright::read::sources::Sources;
use spanwright::read::tables;
use spanwright::report::audit::gather::{Source, gather};
use spanwright::report::audit::{List, Listed, Summary};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests").join("rules")
}

/// One finding, as far as a case looks at it.
struct Said {
    rule: &'static str,
    severity: Severity,
    /// The port; `-` for the inventory as a whole.
    at: String,
    line: u64,
    message: String,
    hint: String,
}

impl Said {
    /// The finding of a file that cannot be read as an inventory.
    fn of_input(finding: &Finding) -> Self {
        Self {
            rule: finding.rule.id,
            severity: finding.severity,
            at: "-".to_string(),
            line: u64::from(finding.origin.line),
            message: finding.message.clone(),
            hint: finding.hint.clone(),
        }
    }
}

/// A list that keeps what it is given.
struct Kept<'k>(&'k RefCell<Vec<Said>>);

impl List for Kept<'_> {
    fn add(&mut self, listed: &Listed) -> std::io::Result<()> {
        let finding = &listed.finding;
        let at = if finding.subject.is_empty() { "-" } else { &finding.subject };
        self.0.borrow_mut().push(Said {
            rule: finding.rule.id,
            severity: finding.severity,
            at: at.to_string(),
            line: finding.line,
            message: finding.message.clone(),
            hint: finding.hint.clone(),
        });
        Ok(())
    }

    fn finish(self: Box<Self>, _: &Summary) -> std::io::Result<()> {
        Ok(())
    }
}

/// A case, and what stands above its heads.
struct Case {
    path: PathBuf,
    rule: String,
    name: String,
    at: BTreeSet<String>,
    also: BTreeSet<String>,
    today: Option<i64>,
    tables: Option<PathBuf>,
}

impl Case {
    fn read(path: PathBuf) -> Self {
        let text = std::fs::read_to_string(&path).expect("a text file");
        let stated = |key: &str| {
            let start = format!("# {key}: ");
            text.lines().find_map(|line| line.strip_prefix(&start)).map(|value| value.trim().to_string())
        };
        let many = |key: &str| {
            let all = stated(key).unwrap_or_default();
            all.split(';').map(str::trim).filter(|s| !s.is_empty()).map(str::to_string).collect()
        };
        let folder = path.parent().expect("a folder").to_path_buf();
        assert!(text.starts_with("# Source: "), "{}: the first line says no source", path.display());
        Self {
            rule: folder.file_name().expect("a rule").to_string_lossy().into_owned(),
            name: path.file_stem().expect("a name").to_string_lossy().into_owned(),
            at: many("At"),
            also: many("Also"),
            today: stated("Date").map(|day| match date::read(&day) {
                date::Day::At(days) => days,
                _ => panic!("{}: `{day}` is no day", path.display()),
            }),
            tables: stated("Tables").map(|name| folder.join(name)),
            path,
        }
    }

    /// A file beside the case, where there is one.
    fn beside(&self, ending: &str) -> Option<PathBuf> {
        let path = self.path.with_extension(ending);
        path.exists().then_some(path)
    }

    /// Audits the rows as the command line does.
    fn audit(&self) -> Vec<Said> {
        let mut sources = Sources::default();
        let folders: Vec<PathBuf> = self.tables.iter().cloned().collect();
        let (tables, findings) = tables::load(&folders, &mut sources);
        assert!(findings.is_empty(), "{}: {findings:?}", self.path.display());
        let (mut policy, mut limits) = (Policy::default(), Limits::default());
        limits.today = self.today;
        if let Some(config) = self.beside("audit.yaml") {
            read_policy(&config, &mut policy, &mut limits, &mut sources).expect("limits");
        }
        let plan = self.beside("plan.yaml").map(|path| ports(&path));
        let inputs = match open_all(std::slice::from_ref(&self.path), None, &tables, &mut sources) {
            Ok(inputs) => inputs,
            Err(Trouble::Input(findings)) => return findings.iter().map(Said::of_input).collect(),
            Err(trouble) => panic!("{}: {trouble:?}", self.path.display()),
        };
        let mut loaded = load(&inputs, &tables, &|_, _| {}).expect("readable rows");
        let prepared = prepare(&mut loaded.inventory);
        let choice = Choice { tables: &tables, limits: &limits, policy: &policy, plan: plan.as_deref() };
        let mut again = Again::new(&inputs, &loaded.places, &loaded.inventory);
        let audit = run(&loaded.inventory, prepared, choice, &mut again).expect("rows again");
        let kept = RefCell::new(Vec::new());
        let source = Source {
            inputs: &inputs,
            places: &loaded.places,
            inventory: &loaded.inventory,
            audit: &audit,
            tables: &tables,
            policy: &policy,
            since: None,
            today: self.today,
        };
        let mut lists: Vec<Box<dyn List + '_>> = vec![Box::new(Kept(&kept))];
        gather(&source, &mut lists).unwrap_or_else(|failed| panic!("{failed:?}"));
        drop(lists);
        kept.into_inner()
    }

    /// Rules of severity error or warning that the case does not name.
    fn unnamed<'s>(&self, said: &'s [Said]) -> BTreeSet<&'s str> {
        let grave = said.iter().filter(|one| one.severity != Severity::Note);
        let ids = grave.map(|one| one.rule);
        ids.filter(|id| *id != self.rule && !self.also.contains(*id)).collect()
    }

    /// Rules that the case names and that were not hit.
    fn unsaid(&self, said: &[Said]) -> BTreeSet<&str> {
        let hit = |id: &&str| said.iter().any(|one| one.rule == *id);
        self.also.iter().map(String::as_str).filter(|id| !hit(id)).collect()
    }
}

/// The ports of a plan, as the command line takes them.
fn ports(path: &Path) -> Vec<against::PlanPort> {
    let reading = plan::load(path, &[]);
    let settings = Settings { statistics: false, cross_check: None };
    let files = reading.sources.files();
    let judged = judge(reading.plan, reading.tables, reading.findings, files, settings);
    let judged = judged.unwrap_or_else(|findings| panic!("{}: {findings:?}", path.display()));
    against::ports(&judged.view())
}

/// The cases of a rule whose names begin with `kind`, sorted.
fn cases(rule: &str, kind: &str) -> Vec<Case> {
    let Ok(entries) = std::fs::read_dir(root().join(rule)) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|end| end == "csv"))
        .filter(|path| path.file_stem().is_some_and(|stem| stem.to_string_lossy().starts_with(kind)))
        .collect();
    paths.sort();
    paths.into_iter().map(Case::read).collect()
}

/// What is said, as an auditor reads it: where, what, what to do.
fn shown(said: &[Said]) -> String {
    let root = format!("{}/", root().display());
    let mut text = String::new();
    for one in said {
        let place = if one.line == 0 { String::new() } else { format!(", line {}", one.line) };
        let head = format!("{} {} at {}{place}", one.severity.word(), one.rule, one.at);
        writeln!(text, "{head}\n  {}\n  help: {}", one.message, one.hint).expect("a text");
    }
    text.replace(&root, "")
}

/// What is wrong with a case; empty for nothing.
fn faults(case: &Case, said: &[Said], is_hit: bool) -> Vec<String> {
    let mut faults = Vec::new();
    let at: BTreeSet<String> =
        said.iter().filter(|one| one.rule == case.rule).map(|one| one.at.clone()).collect();
    if is_hit && (at.is_empty() || at != case.at) {
        faults.push(format!("meant at {:?}, said at {at:?}", case.at));
    }
    if !is_hit && !at.is_empty() {
        faults.push(format!("said at {at:?}"));
    }
    let (unnamed, unsaid) = (case.unnamed(said), case.unsaid(said));
    if !unnamed.is_empty() {
        faults.push(format!("says also {unnamed:?}"));
    }
    if !unsaid.is_empty() {
        faults.push(format!("does not say {unsaid:?}"));
    }
    let subject = format!("{}/{}.csv", case.rule, case.name);
    faults.into_iter().map(|fault| format!("{subject}: {fault}\n{}", shown(said))).collect()
}

#[test]
fn every_case_hits_or_misses_its_rule() {
    let mut wrong = Vec::new();
    let over_rows = |id: &str| ["budget.", "fit.", "inventory."].iter().any(|area| id.starts_with(area));
    for rule in registry::ALL.iter().filter(|rule| over_rows(rule.id)) {
        for case in cases(rule.id, "hit") {
            let said = case.audit();
            let faults = faults(&case, &said, true);
            if faults.is_empty() {
                insta::with_settings!({
                    prepend_module_to_snapshot => false,
                    snapshot_path => "snapshots/inventory",
                }, {
                    insta::assert_snapshot!(format!("{}-{}", case.rule, case.name), shown(&said));
                });
            }
            wrong.extend(faults);
        }
        for case in cases(rule.id, "miss") {
            wrong.extend(faults(&case, &case.audit(), false));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_over_rows_has_a_hit_and_a_miss() {
    let own = registry::ALL.iter().map(|rule| rule.id).filter(|id| id.starts_with("inventory."));
    let rules: BTreeSet<&str> = ENTRIES.iter().map(|entry| entry.rule.id).chain(own).collect();
    let mut missing = Vec::new();
    for rule in rules {
        for kind in ["hit", "miss"] {
            if cases(rule, kind).is_empty() {
                missing.push(format!("{rule}: no case `{kind}*.csv`"));
            }
        }
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}
