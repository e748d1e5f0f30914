//! A plan file, with its tables and bulk rows, to a [`Plan`].
//!
//! One file per section of the plan; `reader` is what they share, `given` and `fields` are how
//! values and maps are taken from the written form. Every problem of the file is gathered in one
//! run: a part that cannot be read is left out, reported once, and does not make others fail.

mod assumptions;
mod attenuators;
mod csv_rows;
mod fields;
mod fitting;
mod gather;
mod given;
mod header;
mod joints;
mod measured;
mod onts;
mod pairs;
mod panels;
mod places;
mod points;
mod protections;
mod ranges;
mod reader;
mod shelves;
mod span_traits;
mod spans;
mod splitters;
mod typed;
mod wdm;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use given::Owner;
use reader::Reader;
pub use typed::Typed;

use super::schema::PlanForm;
use super::sources::Sources;
use super::yaml::{self, Node, Value};
use crate::check::Finding;
use crate::check::plan_rules::{empty, unknown_key, wrong_type};
use crate::place::{FileId, Origin};
use crate::plan::{Plan, usual_grade};
use crate::tables::Tables;

/// A plan as it was read, and all that was found wrong with it.
#[derive(Debug)]
pub struct PlanReading {
    /// The plan; whole only where no finding says that the input is bad.
    pub plan: Plan,
    /// The reference tables it is to be judged by.
    pub tables: Arc<Tables>,
    /// Every finding, in the order of output.
    pub findings: Vec<Finding>,
    /// The texts that were read, for showing the findings.
    pub sources: Sources,
}

impl PlanReading {
    /// Whether the input itself is at fault, so that nothing can be judged.
    pub fn is_bad_input(&self) -> bool {
        self.findings.iter().any(Finding::is_bad_input)
    }
}

/// Reads a plan file, the CSV files it names, and the reference tables: the built-in ones, over them
/// the plan's own, over those `table_overlays` in their order.
pub fn load(path: &Path, table_overlays: &[PathBuf]) -> PlanReading {
    load_from(Sources::default(), path, table_overlays)
}

/// As [`load`], for a plan that somebody else wrote: what it names must lie in its own folder, links
/// followed. Folders of `table_overlays` are free.
pub fn load_confined(path: &Path, table_overlays: &[PathBuf]) -> PlanReading {
    let mut sources = Sources::default();
    let own = path.parent().unwrap_or(Path::new(""));
    sources.confine(std::iter::once(own).chain(table_overlays.iter().map(PathBuf::as_path)));
    load_from(sources, path, table_overlays)
}

fn load_from(mut sources: Sources, path: &Path, table_overlays: &[PathBuf]) -> PlanReading {
    match sources.open(path) {
        Ok(file) => {
            // A bare file name has the empty path as its folder, and that is the right one.
            let base = path.parent().unwrap_or(Path::new(""));
            read(sources, file, Some(base), table_overlays)
        }
        Err(finding) => {
            let (tables, mut findings) = super::tables::load(table_overlays, &mut sources);
            findings.push(finding);
            crate::check::sort(&mut findings);
            PlanReading { plan: Plan::default(), tables, findings, sources }
        }
    }
}

/// Reads a plan from a text. Files that it names are looked for in `base`; without it they are
/// reported as missing, and the file system is not touched.
pub fn from_text(name: &str, text: &str, base: Option<&Path>) -> PlanReading {
    let mut sources = Sources::default();
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    let file = sources.add(name, text.to_string());
    read(sources, file, base, &[])
}

fn read(
    mut sources: Sources,
    file: FileId,
    base: Option<&Path>,
    table_overlays: &[PathBuf],
) -> PlanReading {
    let text = sources.text(file);
    let root = yaml::parse(&text, file);
    let stated = match (&root, base) {
        (Ok(root), Some(base)) => stated_tables(root, base),
        _ => Vec::new(),
    };
    let folders: Vec<PathBuf> =
        stated.iter().map(|(path, _)| path.clone()).chain(table_overlays.iter().cloned()).collect();
    let (tables, found) = super::tables::load(&folders, &mut sources);
    let mut reader = Reader::new(tables, &mut sources, base);
    for finding in found {
        reader.findings.push(named_in_plan(finding, &stated));
    }
    match &root {
        Ok(root) => reader.document(root),
        Err(finding) => reader.findings.push(finding.clone()),
    }
    let Reader { mut plan, tables, findings, .. } = reader;
    usual_grade::settle(&mut plan, &tables);
    PlanReading { plan, tables, findings: findings.finish(), sources }
}

/// The folders of tables that a plan names, and where. What is no path is reported later.
fn stated_tables(root: &Node<'_>, base: &Path) -> Vec<(PathBuf, Origin)> {
    let Value::Map(entries) = &root.value else { return Vec::new() };
    let Some((_, node)) = entries.iter().find(|(key, _)| key.text() == Some("tables")) else {
        return Vec::new();
    };
    let items = match &node.value {
        Value::List(items) => items.as_slice(),
        _ => std::slice::from_ref(node),
    };
    let path = |item: &Node<'_>| {
        let text = item.text()?.trim();
        (!text.is_empty()).then(|| (base.join(text), item.origin))
    };
    items.iter().filter_map(path).collect()
}

/// A finding about a folder as a whole is told where the plan names the folder.
fn named_in_plan(finding: Finding, stated: &[(PathBuf, Origin)]) -> Finding {
    let of_folder = |(path, _): &&(PathBuf, Origin)| finding.subject == path.display().to_string();
    match stated.iter().find(of_folder).filter(|_| finding.origin.line == 0) {
        Some((_, origin)) => Finding { origin: *origin, ..finding },
        None => finding,
    }
}

impl Reader<'_> {
    /// Reads every section, devices before the spans that name them.
    fn document(&mut self, root: &Node<'_>) {
        let whole = Origin { length: 0, ..root.origin };
        match &root.value {
            Value::Map(entries) if !entries.is_empty() => {}
            Value::Map(_) | Value::Empty => {
                self.findings.push(empty::RULE.hit(whole, "", "the file holds no plan"));
                return;
            }
            _ => {
                let message = format!("the file holds {}; a plan is a map", root.kind());
                let finding = wrong_type::RULE.hit(whole, "", message);
                self.findings.push(finding.hint("begin the plan with `spanwright: 1`"));
                return;
            }
        }
        let owner = Owner { kind: "the plan", id: "" };
        let Some(top) = self.open(root, PlanForm::KEYS, owner, whole) else { return };
        // What stands under a key that is not known may be devices.
        self.devices_unsure = self.findings.hits(&unknown_key::RULE) > 0;
        self.header(&top);
        for given in self.one_or_many(&top, "tables") {
            // Reports that there is no folder to look in.
            self.path(&given);
        }
        self.assumptions(&top);
        self.read_places(&top);
        self.read_shelves(&top);
        self.read_panels(&top);
        self.read_splice_cases(&top);
        self.read_splitters(&top);
        self.read_taps(&top);
        self.read_wdm_elements(&top);
        self.read_attenuators(&top);
        self.read_onts(&top);
        self.read_protections();
        self.read_spans(&top);
        self.read_joints(&top);
    }
}
