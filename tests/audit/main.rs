//! Audits of inventories: what was planted is found, and nothing else.

mod bytes;
mod dress;
mod planted;
mod workbook;

#[path = "../../examples/generate_inventory/faults.rs"]
mod faults;
#[path = "../../examples/generate_inventory/world.rs"]
mod world;

use std::path::PathBuf;

use spanwright::audit::run::{Choice, prepare, run};
use spanwright::audit::wording::Worded;
use spanwright::check::inventory_rules::facts::Limits;
use spanwright::check::policy::Policy;
use spanwright::inventory::date;
use spanwright::read::inventory::again::Again;
use spanwright::read::inventory::load::{load, open_all};
use spanwright::read::sources::Sources;
use spanwright::read::tables::built_in;
use spanwright::report::audit::gather::{Source, gather};
use spanwright::report::audit::{List, Listed, Summary};

/// A list that keeps what it is given.
struct Kept<'k>(&'k std::cell::RefCell<Vec<Worded>>);

impl List for Kept<'_> {
    fn add(&mut self, listed: &Listed) -> std::io::Result<()> {
        self.0.borrow_mut().push(listed.finding.clone());
        Ok(())
    }

    fn finish(self: Box<Self>, _: &Summary) -> std::io::Result<()> {
        Ok(())
    }
}

/// What an audit says of files.
struct Said {
    /// Findings in the order of the rows.
    findings: Vec<Worded>,
    /// The rest.
    summary: Summary,
}

/// Audits files as the command line does.
fn audit(paths: &[PathBuf], map: Option<&PathBuf>) -> Said {
    let tables = built_in();
    let mut sources = Sources::default();
    let inputs = open_all(paths, map, &tables, &mut sources).expect("readable files");
    let mut loaded = load(&inputs, &tables, &|_, _| {}).expect("readable rows");
    let date::Day::At(today) = date::read("2026-03-01") else { panic!("a day") };
    let limits = Limits { today: Some(today), ..Limits::default() };
    let policy = Policy::default();
    let prepared = prepare(&mut loaded.inventory);
    let choice = Choice { tables: &tables, limits: &limits, policy: &policy, plan: None };
    let mut again = Again::new(&inputs, &loaded.places, &loaded.inventory);
    let audit = run(&loaded.inventory, prepared, choice, &mut again).expect("rows can be read again");
    let kept = std::cell::RefCell::new(Vec::new());
    let summary = {
        let mut lists: Vec<Box<dyn List + '_>> = vec![Box::new(Kept(&kept))];
        let source = Source {
            inputs: &inputs,
            places: &loaded.places,
            inventory: &loaded.inventory,
            audit: &audit,
            tables: &tables,
            policy: &policy,
            since: None,
            today: Some(today),
        };
        gather(&source, &mut lists).unwrap_or_else(|failed| panic!("{failed:?}"))
    };
    Said { findings: kept.into_inner(), summary }
}

/// Audits one text.
fn audit_text(name: &str, bytes: &[u8]) -> Said {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join(name);
    std::fs::write(&path, bytes).expect("a file");
    audit(&[path], None)
}
